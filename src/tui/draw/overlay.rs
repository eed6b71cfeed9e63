//! What stands in front of the panes: a line to type, a list to pick from, keys, questions.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Position, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::{ASCII, fit, window};
use crate::app::keysheet::sheet;
use crate::app::{
    App, BesideView, Choice, Compared, Menu, Outcome, Overlay, Picker, PickerUse, Prompt, PromptUse, Taken,
};
use crate::document::plain;
use crate::review::{Gravity, Verdict, factor_text};
use crate::sheets::{Beside, CAUTION, wrap};
use crate::tui::theme::Theme;

/// Draws it; where the lines of its list are, and the number of the first one shown.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Option<(Rect, usize)> {
    let area = super::new_plan::draw(frame, area, app, theme);
    match &app.overlay {
        None => {}
        Some(Overlay::Prompt(p)) => prompt(frame, area, p, theme),
        Some(Overlay::Picker(p)) => return Some(picker(frame, area, app, p, theme)),
        Some(Overlay::Help(at)) => {
            let lines = help(app, usize::from(area.width.min(96)).saturating_sub(4), theme);
            pages(frame, area, "Keys", &lines, *at, theme);
        }
        Some(Overlay::Log(at)) => {
            let width = usize::from(area.width.min(96)).saturating_sub(2);
            let lines = app.log.iter().rev().flat_map(|l| wrap(&plain(l), width, 2));
            pages(frame, area, "Messages, newest first", &plainly(lines), *at, theme);
        }
        Some(Overlay::Faults(at)) => {
            let width = usize::from(area.width.min(96)).saturating_sub(2);
            let bold = Style::new().add_modifier(Modifier::BOLD);
            let forms = app.fault_forms();
            let lines = forms.iter().flat_map(|f| {
                let head = wrap(&format!("{}, line {}", f.place, f.line), width, 2).into_iter().map(|l| (l, bold));
                let of = |name: &str, text: &str| {
                    let lines =
                        if text.is_empty() { Vec::new() } else { wrap(&format!("  {name:<9}{text}"), width, 11) };
                    lines.into_iter().map(|l| (l, Style::new()))
                };
                head.chain(of("what", &f.what)).chain(of("instead", &f.instead)).chain([(String::new(), Style::new())])
            });
            pages(frame, area, "What is wrong with the plan", &lines.collect::<Vec<_>>(), *at, theme);
        }
        Some(Overlay::Compare(lines, at)) => {
            let width = usize::from(area.width.min(120)).saturating_sub(2);
            let title = "- here, + on disk: o overwrites it, r reads it";
            pages(frame, area, title, &compared(lines, width, theme), *at, theme);
        }
        Some(Overlay::Sheet(sheet)) => {
            let kind = crate::app::Leaf::ALL[sheet.kind].name();
            let title = format!("{kind}: ←→ others; write: p pdf, h html, m md, t txt");
            let width = usize::from(area.width.min(96)).saturating_sub(2).max(1);
            // Set for the box that it stands in; what is no page has its lines broken, so that no figure is cut off.
            let set = match &sheet.page {
                Ok(page) if crate::app::Leaf::ALL[sheet.kind] != crate::app::Leaf::Why => {
                    if theme.ascii() {
                        page.as_text_of(width)
                    } else {
                        page.on_screen(width, &sheet.ends)
                    }
                }
                _ => sheet.lines.join("\n"),
            };
            let broken = set.lines().flat_map(|l| broken(l, width));
            pages(frame, area, &title, &plainly(broken), sheet.at, theme);
        }
        Some(Overlay::Beside(view)) => beside(frame, area, view, theme),
        Some(Overlay::Over(view)) => super::over::draw(frame, area, app, *view, theme),
        Some(Overlay::Rescue(view)) => super::rescue::draw(frame, area, app, *view, theme),
        Some(Overlay::Day(at)) => super::day::draw(frame, area, app, *at, theme),
        Some(Overlay::Edges(view)) => super::edges::draw(frame, area, app, *view, theme),
        Some(Overlay::Stay(at)) => super::stay::draw(frame, area, app, *at, theme),
        Some(Overlay::Menu(m)) => return Some(menu(frame, area, app, m, theme)),
        Some(o @ Overlay::Quit) => return Some(ask(frame, area, "Unsaved work", "", o, theme)),
        Some(Overlay::Welcome) => {
            let lines = welcome(app);
            let inner = boxed(frame, area, 62, lines.len() as u16 + 2, "spanwright", theme);
            let lines: Vec<Line<'_>> = lines.iter().map(|l| Line::raw(theme.text(l))).collect();
            frame.render_widget(Paragraph::new(lines), inner);
        }
        Some(o @ Overlay::Recover(left)) => {
            return Some(ask(frame, area, "Unsaved work", &left.said, o, theme));
        }
        Some(o @ Overlay::Changed) => {
            return Some(ask(frame, area, "The file on disk has changed since it was read", "", o, theme));
        }
        Some(o @ Overlay::SaveFirst) => {
            return Some(ask(frame, area, "An editor opens the file, and there is unsaved work", "", o, theme));
        }
    }
    None
}

/// The lines of a comparison, broken so that nothing of them is hidden.
fn compared(lines: &[Compared], width: usize, theme: Theme) -> Vec<(String, Style)> {
    let mut out = Vec::new();
    for l in lines {
        let (sign, text, style) = match l {
            Compared::At(n) => (' ', format!("line {n}"), Style::new().add_modifier(Modifier::BOLD)),
            Compared::Both(t) => (' ', t.clone(), theme.quiet()),
            Compared::Ours(t) => ('-', t.clone(), theme.gravity(Gravity::Caution)),
            Compared::Theirs(t) => ('+', t.clone(), theme.verdict(Verdict::Meets)),
        };
        let chars: Vec<char> = plain(&text).chars().collect();
        for piece in chars.chunks(width.saturating_sub(2).max(1)) {
            out.push((format!("{sign} {}", piece.iter().collect::<String>()), style));
        }
        if chars.is_empty() {
            out.push((sign.to_string(), style));
        }
    }
    if out.is_empty() {
        out.push(("the two are the same".to_owned(), Style::new()));
    }
    out
}

/// Two plans in two boxes; what stands at one height is the same thing.
fn beside(frame: &mut Frame<'_>, area: Rect, view: &BesideView, theme: Theme) {
    let [left, right] = Layout::horizontal([Constraint::Ratio(1, 2); 2]).areas(area);
    let boxes = [left, right];
    let inner = [0, 1].map(|k| boxed_at(frame, boxes[k], &view.titles[k], theme));
    let width = inner.map(|r| usize::from(r.width));
    let height = usize::from(inner[0].height);
    let mut shown: [Vec<Line<'_>>; 2] = [Vec::new(), Vec::new()];
    for line in view.lines.iter().skip(view.at) {
        if shown[0].len() >= height {
            break;
        }
        match line {
            Beside::Heading(words) => {
                let style = Style::new().add_modifier(Modifier::BOLD);
                shown[0].push(Line::styled(theme.text(&fit(words, width[0])), style));
                shown[1].push(Line::raw(""));
            }
            Beside::Pair { cells, verdicts, differs } => {
                let wrapped = [0, 1].map(|k| wrap(&cells[k], width[k].saturating_sub(2), 2));
                let high = wrapped[0].len().max(wrapped[1].len()).max(1);
                for k in [0, 1] {
                    // What is alike is quiet; what is not has a mark as well as its colour.
                    let style = match verdicts[k] {
                        _ if !differs => theme.quiet(),
                        Some(v) => theme.verdict(v),
                        None => Style::new(),
                    };
                    for n in 0..high {
                        let mark = if *differs && n == 0 { "≠ " } else { "  " };
                        let text = wrapped[k].get(n).map_or("", String::as_str);
                        let gone = if n == 0 && cells[k].is_empty() { "–" } else { text };
                        shown[k].push(Line::styled(theme.text(&format!("{mark}{gone}")), style));
                    }
                }
            }
        }
    }
    for (lines, inner) in shown.into_iter().zip(inner) {
        frame.render_widget(Paragraph::new(lines), inner);
    }
    let hint = " ≠ differs ";
    let rect =
        Rect { y: area.bottom().saturating_sub(1), height: 1, x: right.x + 1, width: right.width.saturating_sub(2) };
    frame.render_widget(
        Paragraph::new(theme.text(&fit(hint, hint.width().min(usize::from(rect.width))))),
        Rect { width: (hint.width() as u16).min(rect.width), ..rect },
    );
}

/// Draws a menu where it was asked for, as far as it fits there; where its lines are.
fn menu(frame: &mut Frame<'_>, area: Rect, app: &App, m: &Menu, theme: Theme) -> (Rect, usize) {
    let keys: Vec<String> = m.rows.iter().map(|c| app.keymap.first(c.id).unwrap_or_default()).collect();
    let name = m.rows.iter().map(|c| c.name.width()).max().unwrap_or(0);
    let key = keys.iter().map(|k| k.width()).max().unwrap_or(0);
    let width = ((name + key + 6) as u16).max(m.title.width() as u16 + 4).min(area.width);
    let height = (m.rows.len() as u16 + 2).min(area.height);
    let rect = match m.place {
        Some((x, y)) => Rect {
            x: x.min(area.right().saturating_sub(width)),
            y: y.min(area.bottom().saturating_sub(height)),
            width,
            height,
        },
        None => area.centered(Constraint::Length(width), Constraint::Length(height)),
    };
    let inner = boxed_at(frame, rect, &m.title, theme);
    let first = window(m.at, m.rows.len(), usize::from(inner.height));
    let lines: Vec<Line<'_>> = m
        .rows
        .iter()
        .zip(&keys)
        .enumerate()
        .skip(first)
        .take(usize::from(inner.height))
        .map(|(i, (c, k))| {
            let style = if i == m.at { theme.cursor(true) } else { Style::new() };
            Line::styled(theme.text(&fit(&format!(" {:<name$}  {k}", c.name), usize::from(inner.width))), style)
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), inner);
    (inner, first)
}

fn boxed(frame: &mut Frame<'_>, area: Rect, width: u16, height: u16, title: &str, theme: Theme) -> Rect {
    let rect = area.centered(Constraint::Length(width.min(area.width)), Constraint::Length(height.min(area.height)));
    boxed_at(frame, rect, title, theme)
}

pub(super) fn boxed_at(frame: &mut Frame<'_>, rect: Rect, title: &str, theme: Theme) -> Rect {
    frame.render_widget(Clear, rect);
    frame.buffer_mut().set_style(rect, theme.ground_style());
    let mut block = Block::bordered()
        .title(Span::styled(format!(" {} ", theme.text(title)), theme.title(true)))
        .border_style(theme.border());
    if theme.ascii() {
        block = block.border_set(ASCII);
    }
    let inner = block.inner(rect);
    frame.render_widget(block, rect);
    inner
}

fn prompt(frame: &mut Frame<'_>, area: Rect, p: &Prompt, theme: Theme) {
    let width = area.width.min(88);
    let inside = usize::from(width - 2);
    let why = p.refusal.as_ref().map(|r| wrap(&plain(r), inside, 2)).unwrap_or_default();
    let label = wrap(&p.label, inside, 2);
    let height = (label.len() + 3 + why.len()) as u16 + 1;
    // What is looked for shows above it.
    let inner = if matches!(p.purpose, PromptUse::Find) {
        let height = height.min(area.height);
        boxed_at(frame, Rect { y: area.bottom() - height, height, width, ..area }, p.title(), theme)
    } else {
        boxed(frame, area, width, height, p.title(), theme)
    };
    let mut lines: Vec<Line<'_>> =
        label.iter().map(|l| Line::from(Span::styled(theme.text(l), theme.quiet()))).collect();
    // The end of a long line stays in sight.
    let before: String = p.text.chars().take(p.cursor).collect();
    let skip = before.width().saturating_sub(inside.saturating_sub(2));
    let mut hidden = 0;
    let shown: String = p
        .text
        .chars()
        .skip_while(|c| {
            let skipping = hidden < skip;
            hidden += unicode_width::UnicodeWidthChar::width(*c).unwrap_or(0);
            skipping
        })
        .collect();
    lines.push(Line::from(Span::styled(fit(&plain(&shown), inside), Style::new().add_modifier(Modifier::UNDERLINED))));
    lines.push(Line::raw(""));
    lines.extend(why.iter().map(|l| Line::from(Span::styled(theme.text(l), theme.alarm()))));
    frame.set_cursor_position(Position::new(
        inner.x + (before.width() - skip.min(before.width())) as u16,
        inner.y + label.len() as u16,
    ));
    frame.render_widget(Paragraph::new(lines), inner);
}

/// What a line's choice would make of the piece and of the plan, in few letters.
fn outcome(app: &App, p: &Picker, row: &Choice) -> [String; 2] {
    if matches!(&p.purpose, PickerUse::Field(f) if matches!(f.taken(row), Taken::Typed(_))) {
        return ["typed".to_owned(), String::new()];
    }
    match app.outcome(p, row) {
        None => ["…".to_owned(), "…".to_owned()],
        Some(Outcome::Refused(_)) => ["-".to_owned(), "cannot be".to_owned()],
        Some(Outcome::Reviewed { piece, plan, stops }) => {
            let factor = piece.map_or(String::new(), |(f, required, v)| {
                let sign = if v == Verdict::Meets { " " } else { v.sign() };
                format!("{}/{} {sign}", factor_text(f), factor_text(required))
            });
            let stops = if *stops > 0 { format!(" {stops} stop") } else { String::new() };
            let sign = if *plan == Verdict::Meets { "" } else { plan.sign() };
            [factor, format!("{sign} {}{stops}", plan.word()).trim_start().to_owned()]
        }
    }
}

fn picker(frame: &mut Frame<'_>, area: Rect, app: &App, p: &Picker, theme: Theme) -> (Rect, usize) {
    let rows = p.matching();
    let tries = app.tries(p);
    let refusal = rows.get(p.at).filter(|_| tries).and_then(|r| match app.outcome(p, r) {
        Some(Outcome::Refused(why)) => Some(format!("cannot be: {}", plain(why))),
        _ => None,
    });
    let extra = u16::from(tries) + u16::from(tries || !p.heads.is_empty());
    let height = (rows.len() as u16 + 3 + extra).clamp(6, area.height.saturating_sub(4).max(6));
    let margin = if area.width < 100 { 2 } else { 4 };
    // A trial is of the rig at rest: nobody should take its word for a fall.
    let title =
        if tries { format!("{} (tried at rest; falls and failures come after)", p.title) } else { p.title.clone() };
    let inner = boxed(frame, area, area.width.saturating_sub(margin).min(118), height, &title, theme);
    let width = usize::from(inner.width);
    let list = usize::from(inner.height.saturating_sub(1 + extra));
    let first = window(p.at, rows.len(), list);
    let longest = p.rows.iter().map(|r| r.name.width()).max().unwrap_or(0).clamp(8, width * 2 / 5);
    // Columns of their own for what stands beside the names: as wide as the widest, numbers to the right.
    let besides = p.rows.iter().map(|r| r.beside.len()).max().unwrap_or(0);
    let wide = |c: usize| {
        let cells = p.rows.iter().filter_map(|r| r.beside.get(c)).map(|t| t.width());
        cells.chain(p.heads.get(c).map(|h| h.width())).max().unwrap_or(0)
    };
    let mut columns: Vec<usize> = (0..besides).map(wide).collect();
    if tries {
        columns.extend([9, 14]);
    }
    let line = |name: &str, cells: &[String], words: &str| {
        let mut text = fit(&plain(name), longest);
        for (c, w) in columns.iter().enumerate() {
            let cell = cells.get(c).map_or("", String::as_str);
            let pad = " ".repeat(w.saturating_sub(cell.width()));
            // Numbers end in one column, words start in one.
            text += &if besides == 1 || c == besides + 1 { format!("  {cell}{pad}") } else { format!("  {pad}{cell}") };
        }
        theme.text(&fit(&format!("{text}  {}", plain(words)), width))
    };
    let mut lines = vec![Line::from(Span::styled(
        fit(&format!("find {}", plain(&p.filter)), width),
        Style::new().add_modifier(Modifier::UNDERLINED),
    ))];
    if !p.heads.is_empty() {
        let heads: Vec<String> = p.heads.iter().map(|h| (*h).to_owned()).collect();
        lines.push(Line::styled(line("", &heads, ""), theme.quiet()));
    }
    if tries {
        let mut heads = vec![String::new(); besides];
        heads.extend(["piece".to_owned(), "plan, with it".to_owned()]);
        lines.push(Line::styled(line("", &heads, ""), theme.quiet()));
    }
    for (i, row) in rows.iter().enumerate().skip(first).take(list) {
        let mut cells = row.beside.clone();
        if tries {
            cells.resize(besides, String::new());
            cells.extend(outcome(app, p, row));
        }
        let style = if i == p.at { theme.cursor(true) } else { Style::new() };
        lines.push(Line::styled(line(&row.name, &cells, &row.words), style));
    }
    if rows.is_empty() {
        lines.push(Line::raw("nothing matches"));
    }
    if let Some(why) = refusal {
        lines.resize(usize::from(inner.height.saturating_sub(1)), Line::raw(""));
        lines.push(Line::styled(theme.text(&fit(&why, width)), theme.quiet()));
    }
    frame.set_cursor_position(Position::new(
        inner.x + ("narrow: ".width() + p.filter.width()).min(width.saturating_sub(1)) as u16,
        inner.y,
    ));
    frame.render_widget(Paragraph::new(lines), inner);
    let above = 1 + u16::from(tries);
    (Rect { y: inner.y + above, height: list as u16, ..inner }, first)
}

/// Every command with its keys; what makes no sense now is quiet.
fn help(app: &App, width: usize, theme: Theme) -> Vec<(String, Style)> {
    let mut out: Vec<(String, Style)> = sheet(&app.keymap, width)
        .into_iter()
        .map(|l| {
            let style = match l.command {
                None => Style::new().add_modifier(Modifier::BOLD),
                Some(c) if (c.when)(app) => Style::new(),
                Some(_) => theme.quiet(),
            };
            (l.text, style)
        })
        .collect();
    let signs = "Signs: ✗ below, ? unrated, ! unsolved, ~ of the plan before the last change.";
    out.extend(wrap(signs, width, 0).into_iter().chain(wrap(CAUTION, width, 0)).map(|l| (l, Style::new())));
    out
}

/// What to press first: the demo's limit, all keys, a plan of one's own; and what none of it replaces.
fn welcome(app: &App) -> Vec<String> {
    let mut out = wrap(&format!("A demo: {}. Not all of it meets.", plain(&app.file.plan.title)), 58, 0);
    out.push(String::new());
    let keys = [
        ("w", "goes to what limits it; u takes any change back"),
        ("?", "every key"),
        ("N", "your own plan, asked step by step"),
    ];
    out.extend(keys.map(|(key, what)| format!("   {key}   {what}")));
    out.push(String::new());
    out.extend(wrap(CAUTION, 58, 0));
    out.push("Any key goes on.".to_owned());
    out
}

/// Lines without a style of their own.
fn plainly(lines: impl IntoIterator<Item = String>) -> Vec<(String, Style)> {
    lines.into_iter().map(|l| (l, Style::new())).collect()
}

fn pages(frame: &mut Frame<'_>, area: Rect, title: &str, lines: &[(String, Style)], at: usize, theme: Theme) {
    let wide = if lines.iter().any(|(l, _)| l.width() > 94) { 120 } else { 96 };
    let height = (lines.len() as u16 + 2).min(area.height.saturating_sub(2));
    let inner = boxed(frame, area, area.width.min(wide), height, title, theme);
    let skip = at.min(lines.len().saturating_sub(usize::from(inner.height)));
    let shown: Vec<Line<'_>> = lines
        .iter()
        .skip(skip)
        .take(usize::from(inner.height))
        .map(|(l, style)| Line::styled(theme.text(&fit(l, usize::from(inner.width))), *style))
        .collect();
    frame.render_widget(Paragraph::new(shown), inner);
}

/// A question with its answers; where those are.
fn ask(frame: &mut Frame<'_>, area: Rect, title: &str, said: &str, o: &Overlay, theme: Theme) -> (Rect, usize) {
    let said: Vec<String> = if said.is_empty() { Vec::new() } else { crate::sheets::wrap(said, 56, 0) };
    let keys = o.choices().iter().map(|(key, words)| format!("{key:<4} {words}"));
    let above = said.len();
    let lines: Vec<Line<'_>> = said.into_iter().chain(keys).map(|l| Line::raw(theme.text(&l))).collect();
    let inner = boxed(frame, area, 60, lines.len() as u16 + 2, title, theme);
    frame.render_widget(Paragraph::new(lines), inner);
    (inner, above)
}

/// A line in pieces of at most `width` columns, broken at blanks where there are any; nothing of it is lost.
fn broken(line: &str, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut rest: Vec<char> = line.chars().collect();
    let indent = rest.iter().take_while(|c| c.is_whitespace()).count().min(width / 2) + 2;
    while rest.len() > width {
        // Not in the indentation, and not so early that half a line is left empty.
        let blank = (width / 2..=width).rev().find(|i| rest[*i] == ' ');
        let tail = rest.split_off(blank.unwrap_or(width));
        out.push(rest.into_iter().collect());
        let tail: Vec<char> = tail.into_iter().skip(usize::from(blank.is_some())).collect();
        rest = std::iter::repeat_n(' ', if blank.is_some() { indent } else { 0 }).chain(tail).collect();
    }
    out.push(rest.into_iter().collect());
    out
}
