//! A document as Markdown.

use super::letters::in_letters;
use super::{Block, Page};

fn escape(text: &str) -> String {
    text.replace('|', "\\|").replace('<', "&lt;").replace('*', "\\*").replace('_', "\\_")
}

pub(super) fn markdown(page: &Page) -> String {
    let mut out = format!("# {}\n", escape(&page.title));
    for s in &page.subtitle {
        out += &format!("\n{}\n", escape(s));
    }
    for block in &page.blocks {
        out.push('\n');
        match block {
            Block::Heading(t) => out += &format!("## {}\n", escape(t)),
            Block::Text(t) => out += &format!("{}\n", escape(t)),
            Block::Warning(t) => out += &format!("> **{}**\n", escape(t)),
            Block::Facts(facts) => {
                for (name, what) in facts {
                    out += &format!("- {}: **{}**\n", escape(name), escape(what));
                }
            }
            Block::Figures(all) => {
                for [name, figure, more] in all {
                    out += &format!("- {}: **{}**; {}\n", escape(name), escape(figure), escape(more));
                }
            }
            Block::Table { head, rows } => {
                let line = |cells: &mut dyn Iterator<Item = String>| {
                    format!("| {} |\n", cells.collect::<Vec<_>>().join(" | "))
                };
                out += &line(&mut head.iter().map(|h| escape(&h.0)));
                out += &line(&mut head.iter().map(|h| if h.1 { "---:" } else { "---" }.to_owned()));
                for r in rows {
                    out += &line(&mut r.iter().map(|c| escape(c)));
                }
            }
            Block::Checks { boxes, lines } => {
                if boxes.len() > 1 {
                    let head: Vec<String> = boxes.iter().map(|b| escape(b)).collect();
                    out += &format!("| | {} |\n| --- | {} |\n", head.join(" | "), vec!["---"; boxes.len()].join(" | "));
                    for l in lines {
                        out += &format!("| {} | {} |\n", escape(l), vec!["☐"; boxes.len()].join(" | "));
                    }
                } else {
                    for l in lines {
                        out += &format!("- [ ] {}\n", escape(l));
                    }
                }
            }
            Block::Steps(lines) => {
                for (k, l) in lines.iter().enumerate() {
                    out += &format!("{}. [ ] {}\n", k + 1, escape(l));
                }
            }
            Block::Blanks(lines) => {
                for l in lines {
                    out += &format!("- {}: ……………………\n", escape(l));
                }
            }
            Block::Columns(_) | Block::NextColumn | Block::OtherSide => {
                out.pop();
            }
            Block::Edge(_) => out += &format!("{}\n", Page::NO_EDGE),
            Block::Drawing(d, words) => {
                out += &format!("```text\n{}\n```\n", in_letters(d, 72).join("\n"));
                for l in words {
                    out += &format!("- {}\n", escape(l));
                }
            }
        }
    }
    out += &format!("\n---\n\n{}\n\n{}.\n", Page::caution(), escape(&page.origin));
    out
}
