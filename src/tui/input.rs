//! What the terminal sends, as the workbench names it.

use crossterm::event::{Event, KeyCode, KeyEventKind, KeyModifiers, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Position;

use super::draw::Hits;
use crate::app::{About, App, Drag, Key, Overlay, Pane, Press, Selected};

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
        MouseEventKind::Down(MouseButton::Right) if matches!(app.overlay, None | Some(Overlay::Menu(_))) => {
            menu(app, hits, at);
        }
        MouseEventKind::Down(MouseButton::Left) if app.overlay.is_some() => app.click_list(hits.list_line(at)),
        MouseEventKind::ScrollDown | MouseEventKind::ScrollUp if app.overlay.is_some() => {
            app.wheel_list(m.kind == MouseEventKind::ScrollDown);
        }
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

/// Selects what is under the mouse and opens the menu for it.
fn menu(app: &mut App, hits: &Hits, at: Position) {
    app.overlay = None;
    let place = Some((at.x, at.y));
    let about = match hits.pane(at) {
        None if hits.track.y == at.y => About::Shown,
        None => About::Plan,
        Some(Pane::Drawing) => {
            app.pane = Pane::Drawing;
            match hits.point_at(at) {
                Some((_, name)) => {
                    app.select(Selected::Point(name.to_owned()));
                    About::Selected
                }
                None => About::Shown,
            }
        }
        Some(pane) => {
            to_line(app, hits, pane, at);
            About::Selected
        }
    };
    app.open_menu(about, place);
}

/// Gives a pane the keys and puts its cursor on the line under the mouse; whether it was there already.
fn to_line(app: &mut App, hits: &Hits, pane: Pane, at: Position) -> bool {
    app.pane = pane;
    app.dirty = true;
    let Some(i) = hits.line_of(pane, at) else { return false };
    let (cursor, count) = match pane {
        Pane::Path => {
            if let Some(s) = app.outline.get(i).and_then(|e| e.selected.clone()) {
                app.select(s);
            }
            return false;
        }
        Pane::Piece => (app.form_at, app.form.len()),
        Pane::Worst => (app.worst_at, app.worst_rows().len()),
        Pane::Drawing => return false,
    };
    if i >= count {
        return false;
    }
    if pane == Pane::Piece {
        app.form_at = i;
    } else {
        app.worst_at = i;
    }
    cursor == i
}

fn click(app: &mut App, hits: &Hits, at: Position) {
    if hits.track.contains(at) {
        app.drag = Some(Drag::Walker);
        to_track(app, hits, at);
        return;
    }
    let Some(pane) = hits.pane(at) else { return };
    let again = to_line(app, hits, pane, at);
    match pane {
        Pane::Piece if again => app.edit_field(),
        Pane::Worst if again => app.run("jump"),
        Pane::Drawing => {
            if let Some((above, name)) = hits.point_at(at) {
                app.grab(name, above.side, above.frame, above.metres(at));
            }
        }
        _ => {}
    }
}
