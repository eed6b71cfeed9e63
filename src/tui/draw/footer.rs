//! Who stands where, what was said last, keys.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::{cut, fit};
use crate::app::{App, COMMANDS, InView, Leaf, Overlay, PickerUse, PromptUse, Where, short};
use crate::document::plain;
use crate::sheets::Kind;
use crate::tui::layout::Screen;
use crate::tui::theme::{Role, Theme};
use crate::units::Quantity as _;

/// Draws it; where the walker's track stands.
pub(super) fn draw(frame: &mut Frame<'_>, s: &Screen, app: &App, theme: Theme) -> Rect {
    let track = walker(frame, s.walker, app, theme);
    let width = usize::from(s.hints.width);
    let said = |(text, style): (String, Style)| Line::styled(theme.text(&fit(&format!(" {text}"), width)), style);
    let keys = || hints(app, width, theme);
    if let Some(area) = s.message {
        let line = said(message(app, theme).unwrap_or_else(|| (app.played(), theme.quiet())));
        frame.render_widget(Paragraph::new(line), area);
        frame.render_widget(Paragraph::new(keys()), s.hints);
    } else {
        // What was just said takes the row of the hints until the next key.
        let new = app.just_said() && app.overlay.is_none();
        let line = message(app, theme).filter(|_| new).map_or_else(keys, said);
        frame.render_widget(Paragraph::new(line), s.hints);
    }
    track
}

fn message(app: &App, theme: Theme) -> Option<(String, Style)> {
    let text = plain(app.log.last()?);
    Some(if app.alarm { (format!("! {text}"), theme.alarm()) } else { (text, theme.role(Role::Text)) })
}

/// The walker on a rule from A to B.
fn walker(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Rect {
    let width = usize::from(area.width);
    let mass = app.file.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    let system = app.settings.system;
    let there = app.situation != InView::Standing;
    let kg = crate::units::show(crate::units::Dim::Mass, mass, system).replace(".0 ", " ");
    let at_m = short::whole(app.walker * app.line_m(), system);
    let who = match (there, width >= 110) {
        (false, _) => "nobody on it".to_owned(),
        (true, true) => format!("{}, {kg}, {at_m} from A", app.situation.words()),
        (true, false) => format!("{kg}, {at_m}"),
    };
    let key = app.keymap.first("situation").unwrap_or_default();
    let tail = format!(" ─ {key} situation ─");
    let track = width.saturating_sub(6 + 5 + who.width() + tail.width()).max(10);
    let at = (app.walker * (track - 1) as f64).round() as usize;
    let part = |from: usize, to: usize| "─".repeat(to.saturating_sub(from));
    let faint = theme.role(Role::Faint);
    let strong = theme.role(Role::Strong);
    let mut spans =
        vec![Span::styled(theme.text("─ "), faint), Span::styled("A ", strong), Span::styled(theme.text("├"), faint)];
    if there {
        spans.push(Span::styled(theme.text(&part(0, at)), faint));
        spans.push(Span::styled(theme.text("○"), strong));
        spans.push(Span::styled(theme.text(&part(at + 1, track)), faint));
    } else {
        spans.push(Span::styled(theme.text(&part(0, track)), faint));
    }
    spans.push(Span::styled(theme.text("┤"), faint));
    spans.push(Span::styled(" B", strong));
    spans.push(Span::styled(theme.text(" ─ "), faint));
    spans.push(Span::raw(theme.text(&who)));
    let used: usize = spans.iter().map(|s| s.content.width()).sum();
    let tail = cut(&tail, width.saturating_sub(used));
    spans.push(Span::styled(theme.text(&tail), theme.quiet()));
    spans.push(Span::styled(theme.text(&part(used + tail.width(), width)), faint));
    frame.render_widget(Paragraph::new(Line::from(spans)), area);
    Rect { x: area.x + 5, y: area.y, width: track as u16, height: 1 }
}

/// Commands that most need a hint, in order; those of the pane with the keys come first.
const HINTED: &[&str] = &[
    "edit",
    "open-piece",
    "jump",
    "unfold",
    "walker-b",
    "limit",
    "mend",
    "next-pane",
    "undo",
    "help",
    "incident",
    "save",
    "palette",
    "zoom-in",
];

/// Most hints at once.
const MOST: usize = 9;

/// Keys of what stands in front: they alone act while it does.
fn in_front<'a>(app: &App, overlay: &Overlay, width: usize, theme: Theme) -> Line<'a> {
    let keys: &[(&str, &str)] = match overlay {
        Overlay::Prompt(p) if matches!(p.purpose, PromptUse::Find) => {
            &[("", "type to narrow the path"), ("up down", "matches"), ("enter", "stays there"), ("esc", "back")]
        }
        Overlay::Prompt(p) if matches!(p.purpose, PromptUse::Ask(_)) => {
            &[("enter", "next step"), ("esc", "step back"), ("ctrl-c", "leaves; N goes on with a new plan")]
        }
        Overlay::Picker(p) if matches!(p.purpose, PickerUse::Ask(_)) => {
            &[("enter", "next step"), ("up down", "choose"), ("esc", "step back"), ("", "type to find")]
        }
        Overlay::Prompt(_) => &[("enter", "takes it"), ("esc", "leaves it as it was")],
        Overlay::Picker(_) => &[("enter", "takes it"), ("up down", "choose"), ("esc", "back"), ("", "type to find")],
        Overlay::Welcome => &[("", "any key goes on, and is done")],
        Overlay::Menu(_) => &[("enter", "does it"), ("up down", "choose"), ("esc", "back")],
        Overlay::Sheet(s) if Leaf::ALL[s.kind] == Leaf::Sheet(Kind::Day) && !app.file.plan.days.is_empty() => &[
            ("a", "another day"),
            ("s", "take its stretch"),
            ("up down", "scroll"),
            ("p h m t", "write it"),
            ("esc", "back"),
        ],
        Overlay::Sheet(s) if app.may_start(s).is_some() => {
            &[("a", "asks, and writes a start"), ("left right", "others"), ("p h m t", "write it"), ("esc", "back")]
        }
        Overlay::Sheet(_) => {
            &[("left right", "others"), ("up down", "scroll"), ("p h m t", "write it"), ("esc", "back")]
        }
        Overlay::Over(_) => {
            &[("left right", "how far over"), ("up down", "stage"), ("p", "its sheet"), ("1 to 6", "pages")]
        }
        Overlay::Rescue(_) => {
            &[("left right", "where one hangs"), ("up down", "line"), ("p", "its sheet"), ("1 to 6", "pages")]
        }
        Overlay::Day(_) => &[
            ("a", "another day"),
            ("s", "take its stretch"),
            ("up down", "scroll"),
            ("p", "its sheet"),
            ("esc", "back"),
            ("1 to 6", "pages"),
        ],
        Overlay::Stay(_) => &[("left right", "when"), ("p", "its sheet"), ("1 to 6", "pages"), ("esc", "back")],
        Overlay::Edges(_) => &[("left right", "step"), ("p", "its sheet"), ("1 to 6", "pages"), ("esc", "back")],
        Overlay::Compare(..) | Overlay::Beside(_) | Overlay::Help(_) | Overlay::Log(_) | Overlay::Faults(_) => {
            &[("up down", "scroll"), ("esc", "back")]
        }
        other => other.choices(),
    };
    let mut spans: Vec<Span<'_>> = Vec::new();
    let mut used = 0;
    for (key, what) in keys {
        let key = if theme.ascii() { (*key).to_owned() } else { signs(key) };
        let wide = key.width() + what.width() + 4;
        if used + wide > width {
            break;
        }
        used += wide;
        spans.push(Span::styled(theme.text(&format!(" {key} ")), theme.role(Role::Strong)));
        spans.push(Span::styled(theme.text(&format!("{what}  ")), theme.quiet()));
    }
    Line::from(spans)
}

fn hints<'a>(app: &App, width: usize, theme: Theme) -> Line<'a> {
    if let Some(overlay) = &app.overlay {
        return in_front(app, overlay, width, theme);
    }
    let mut spans: Vec<Span<'_>> = Vec::new();
    let (mut used, mut count) = (0, 0);
    for id in HINTED {
        let Some(c) = COMMANDS.iter().find(|c| c.id == *id) else { continue };
        let here = match c.place {
            Where::Anywhere => true,
            Where::In(p) => p == app.pane,
        };
        let Some(mut key) = app.keymap.first(id).filter(|_| here && (c.when)(app)) else { continue };
        let mut name = c.name;
        // A lesson goes on by it, whatever the pane would do.
        if key == "enter" && app.lesson_listens() {
            continue;
        }
        if *id == "walker-b" {
            let Some(other) = app.keymap.first("walker-a") else { continue };
            (key, name) = (format!("{other} {key}"), if app.watching.is_some() { "time" } else { "walk" });
        }
        let key = if theme.ascii() { key } else { signs(&key) };
        let wide = key.width() + name.width() + 4;
        if used + wide > width || count == MOST {
            break;
        }
        (used, count) = (used + wide, count + 1);
        spans.push(Span::styled(theme.text(&format!(" {key} ")), theme.role(Role::Strong)));
        spans.push(Span::styled(format!("{name}  "), theme.quiet()));
    }
    Line::from(spans)
}

/// Keys as they are printed on keyboards.
fn signs(key: &str) -> String {
    let one = |k: &str| match k {
        "left" => "←".to_owned(),
        "right" => "→".to_owned(),
        "enter" => "↵".to_owned(),
        "up" => "↑".to_owned(),
        "down" => "↓".to_owned(),
        other => other.to_owned(),
    };
    key.split(' ').map(one).collect::<Vec<_>>().join(" ")
}
