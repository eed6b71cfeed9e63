//! A document as one HTML file with print styles: no script, nothing fetched.

use super::{Block, Drawing, Page, Setting, Stroke};

const STYLE: &str = "\
body{font:10.5pt/1.35 sans-serif;max-width:52em;margin:1.5em auto;padding:0 1em;color:#000;background:#fff}\
h1{font-size:1.4em;margin:0 0 .2em}h2{font-size:1.1em;margin:1.1em 0 .3em;border-bottom:1px solid #000}\
p{margin:.3em 0}.warning{border:2px solid #000;padding:.3em .6em;font-weight:bold}\
table{border-collapse:collapse;width:100%;margin:.4em 0}th,td{border:1px solid #888;padding:.15em .4em;text-align:left;\
vertical-align:top}.n{text-align:right;white-space:nowrap}.b{width:4.5em;white-space:nowrap}dl{display:grid;grid-template-columns:max-content 1fr;gap:.1em \
1em;margin:.4em 0}dt{font-weight:bold}dd{margin:0}ul.c,ol.c{list-style:none;padding:0;margin:.4em 0}.c li{margin:.2em 0}\
.box{display:inline-block;width:.8em;height:.8em;border:1.2px solid #000;margin-right:.35em;vertical-align:-.08em}\
.figures{display:grid;grid-auto-flow:column;grid-auto-columns:1fr;gap:1em}.figures b{font-size:24pt;line-height:1.1}\
.blank{display:inline-block;border-bottom:1px solid #000;min-width:14em}svg{max-width:100%;height:auto}\
footer{margin-top:1.2em;border-top:1px solid #000;font-size:.9em}\
@page{margin:14mm}@media print{body{margin:0;max-width:none;font-size:9.5pt}tr,li,svg{break-inside:avoid}\
h2{break-after:avoid}}";

/// The print style of a sheet with two sides: large letters on the first, in two columns; small ones on the second, uneven
/// columns as one and two thirds, even ones as three; no frames.
const TWO_SIDES: &str = "\
@page{margin:9mm}@media print{body{font-size:6pt;line-height:1.17}h1{font-size:14pt}h2{font-size:1.2em;margin:.4em 0 .1em}\
.front{font-size:11pt;break-after:page}.front .flow{column-count:2}\
.side{display:grid;grid-template-columns:1fr 2fr;gap:4mm}.flow{column-count:3;column-gap:4mm}table{margin:.1em 0}\
th,td{border:0;border-bottom:.25pt solid #000;padding:0 .3em}th.n{white-space:normal}dl{display:block;margin:.2em 0}\
dt{display:inline;margin-right:.6em}dd{display:inline}dd::after{content:'';display:block}ul.c,ol.c{margin:.2em 0}\
.c li{margin:0}ul.k{column-count:2;column-gap:2mm}.blank{min-width:8em}p{margin:.15em 0}\
.warning{padding:.2em .4em;border-width:1pt}footer{margin-top:.4em;font-size:1em}}";

/// The print style of cards: one a page, the strip at its edge in full size.
const CARDS: &str = "\
.edge{float:right;margin-left:4mm}.edge svg{max-width:none}@page{margin:9mm}@media print{body{font-size:9pt}\
.next{break-before:page}}";

pub(super) fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

pub(super) fn html(page: &Page) -> String {
    let title = escape(&page.title);
    let two = page.setting == Setting::TwoSides;
    let more = match page.setting {
        Setting::Sheet => "",
        Setting::TwoSides => TWO_SIDES,
        Setting::Cards => CARDS,
    };
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{title}</title>\n<style>{STYLE}{more}</style>\n\
         </head>\n<body>\n<h1>{title}</h1>\n"
    );
    if two {
        out += "<section class=\"front\">\n";
    }
    for s in &page.subtitle {
        out += &format!("<p>{}</p>\n", escape(s));
    }
    let square = "<span class=\"box\"></span>";
    // Columns that are open, and how they end.
    let mut open = "";
    for block in &page.blocks {
        match block {
            Block::Heading(t) => out += &format!("<h2>{}</h2>\n", escape(t)),
            Block::Text(t) => out += &format!("<p>{}</p>\n", escape(t)),
            Block::Warning(t) => out += &format!("<p class=\"warning\">{}</p>\n", escape(t)),
            Block::Facts(facts) => {
                out += "<dl>\n";
                for (name, what) in facts {
                    out += &format!("<dt>{}</dt><dd>{}</dd>\n", escape(name), escape(what));
                }
                out += "</dl>\n";
            }
            Block::Figures(all) => {
                out += "<div class=\"figures\">\n";
                for f in all {
                    let [name, figure, more] = f.each_ref().map(|t| escape(t));
                    out += &format!("<p>{name}<br><b>{figure}</b><br>{more}</p>\n");
                }
                out += "</div>\n";
            }
            Block::Table { head, rows } => {
                let class = |k: usize| if head.get(k).is_some_and(|h| h.1) { " class=\"n\"" } else { "" };
                out += "<table>\n<thead><tr>";
                for (k, h) in head.iter().enumerate() {
                    out += &format!("<th{}>{}</th>", class(k), escape(&h.0));
                }
                out += "</tr></thead>\n<tbody>\n";
                for r in rows {
                    out += "<tr>";
                    for (k, c) in r.iter().enumerate() {
                        out += &format!("<td{}>{}</td>", class(k), escape(c));
                    }
                    out += "</tr>\n";
                }
                out += "</tbody>\n</table>\n";
            }
            Block::Checks { boxes, lines } if boxes.len() > 1 => {
                out += "<table>\n<thead><tr>";
                for b in boxes {
                    out += &format!("<th class=\"b\">{}</th>", escape(b));
                }
                out += "<th></th></tr></thead>\n<tbody>\n";
                for l in lines {
                    let cells = format!("<td>{square}</td>").repeat(boxes.len());
                    out += &format!("<tr>{cells}<td>{}</td></tr>\n", escape(l));
                }
                out += "</tbody>\n</table>\n";
            }
            Block::Checks { lines, .. } => {
                out += "<ul class=\"c\">\n";
                for l in lines {
                    out += &format!("<li>{square}{}</li>\n", escape(l));
                }
                out += "</ul>\n";
            }
            Block::Steps(lines) => {
                out += "<ol class=\"c\">\n";
                for (k, l) in lines.iter().enumerate() {
                    out += &format!("<li>{square}{}. {}</li>\n", k + 1, escape(l));
                }
                out += "</ol>\n";
            }
            Block::Blanks(lines) => {
                out += "<ul class=\"c k\">\n";
                for l in lines {
                    out += &format!("<li>{} <span class=\"blank\"></span></li>\n", escape(l));
                }
                out += "</ul>\n";
            }
            Block::Columns(shares) => {
                let even = shares.windows(2).all(|s| s[0] == s[1]);
                out += open;
                (out, open) = if even {
                    (out + "<section class=\"flow\">\n", "</section>\n")
                } else {
                    (out + "<section class=\"side\"><div>\n", "</div></section>\n")
                };
            }
            Block::NextColumn => out += "</div><div>\n",
            Block::OtherSide if !two => out += "<div class=\"next\"></div>\n",
            Block::OtherSide => {
                out += open;
                out += "</section>\n";
                open = "";
            }
            Block::Edge(d) => out += &format!("<div class=\"edge\">{}</div>\n", svg(d)),
            Block::Drawing(d, words) => {
                out += &svg(d);
                for l in words {
                    out += &format!("<p>{}</p>\n", escape(l));
                }
            }
        }
    }
    out += open;
    out += &format!(
        "<footer>\n<p>{}</p>\n<p>{}.</p>\n</footer>\n</body>\n</html>\n",
        escape(Page::caution()),
        escape(&page.origin)
    );
    out
}

fn svg(d: &Drawing) -> String {
    let [w, h] = d.size;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}mm\" height=\"{h:.1}mm\" viewBox=\"0 0 {w:.2} {h:.2}\">\n"
    );
    for s in &d.strokes {
        out += &match s {
            Stroke::Line { points, width, dashed } => {
                let all: Vec<String> = points.iter().map(|p| format!("{:.2},{:.2}", p[0], p[1])).collect();
                let dash = if *dashed { " stroke-dasharray=\"1.5 1\"" } else { "" };
                format!(
                    "<polyline points=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{width:.2}\"{dash}/>\n",
                    all.join(" ")
                )
            }
            Stroke::Dot { at, radius, filled } => {
                let fill = if *filled { "#000" } else { "#fff" };
                format!(
                    "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{radius:.2}\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"0.25\"/>\n",
                    at[0], at[1]
                )
            }
            Stroke::Words { at, text, size, from } => {
                let anchor = if *from > 0.75 {
                    "end"
                } else if *from > 0.25 {
                    "middle"
                } else {
                    "start"
                };
                format!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-family=\"sans-serif\" font-size=\"{size:.2}\" text-anchor=\"{anchor}\">{}</text>\n",
                    at[0],
                    at[1],
                    escape(text)
                )
            }
        };
    }
    out + "</svg>\n"
}
