//! What the terminal sends, as the workbench names it.

use crossterm::event::{Event, KeyCode, KeyEventKind, KeyModifiers, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Position;

use super::draw::Hits;
use crate::app::{App, Drag, Key, Pane, Press};

/// Hands an event to the workbench.
pub fn handle(app: &mut App, hits: &Hits, event: &Event) {
    match event {
        Event::Key(k) if k.kind != KeyEventKind::Release => {
            if let Some(press) = press(k.code, k.modifiers) {
                app.press(press);
            }
        }
        Event::Paste(text) => app.paste(text),
        Event::Resize(..) => app.dirty = true,
        Event::Mouse(m) => mouse(app, hits, *m),
        _ => {}
    }
}

fn mouse(app: &mut App, hits: &Hits, m: MouseEvent) {
    let at = Position::new(m.column, m.row);
    match m.kind {
        MouseEventKind::Up(_) => app.release(),
        MouseEventKind::Drag(MouseButton::Left) => drag(app, hits, at),
        _ if app.overlay.is_some() => {}
        MouseEventKind::Down(MouseButton::Left) => click(app, hits, at),
        MouseEventKind::ScrollDown | MouseEventKind::ScrollUp => {
            if let Some(pane) = hits.pane(at) {
                app.wheel(pane, m.kind == MouseEventKind::ScrollDown);
            }
        }
        _ => {}
    }
}

/// Moves what the mouse holds.
fn drag(app: &mut App, hits: &Hits, at: Position) {
    match &app.drag {
        Some(Drag::Walker) => to_track(app, hits, at),
        Some(Drag::Point { side, .. }) => {
            if let Some(above) = hits.above(*side) {
                app.drag_to(above.metres(at));
            }
        }
        None => {}
    }
}

fn to_track(app: &mut App, hits: &Hits, at: Position) {
    let last = hits.track.width.saturating_sub(1).max(1);
    app.place_walker(f64::from(at.x.saturating_sub(hits.track.x).min(last)) / f64::from(last));
}

fn press(code: KeyCode, held: KeyModifiers) -> Option<Press> {
    let key = match code {
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Esc,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Delete => Key::Delete,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::Insert => Key::Insert,
        KeyCode::F(n) => Key::F(n),
        _ => return None,
    };
    // AltGr is how some layouts write / and :, so only control counts; shift is already in a character.
    let letter = matches!(key, Key::Char(_) | Key::BackTab);
    let ctrl = held.contains(KeyModifiers::CONTROL) && !held.contains(KeyModifiers::ALT);
    Some(Press { key, ctrl, shift: held.contains(KeyModifiers::SHIFT) && !letter })
}

fn click(app: &mut App, hits: &Hits, at: Position) {
    if hits.track.contains(at) {
        app.drag = Some(Drag::Walker);
        to_track(app, hits, at);
        return;
    }
    let Some(pane) = hits.pane(at) else { return };
    app.pane = pane;
    app.dirty = true;
    match pane {
        Pane::Path => {
            if let Some(s) =
                hits.line_of(Pane::Path, at).and_then(|i| app.outline.get(i)).and_then(|e| e.selected.clone())
            {
                app.select(s);
            }
        }
        Pane::Piece => {
            if let Some(i) = hits.line_of(Pane::Piece, at).filter(|i| *i < app.form.len()) {
                if app.form_at == i {
                    app.edit_field();
                }
                app.form_at = i;
            }
        }
        Pane::Worst => {
            if let Some(i) = hits.line_of(Pane::Worst, at).filter(|i| *i < app.worst_rows().len()) {
                if app.worst_at == i {
                    app.run("jump");
                } else {
                    app.worst_at = i;
                }
            }
        }
        Pane::Drawing => {
            if let Some((above, name)) = hits.point_at(at) {
                app.grab(name, above.side, above.frame, above.metres(at));
            }
        }
    }
}
