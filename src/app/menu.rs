//! A small menu of the commands that make sense for what is under the mouse, from the table of commands.

use super::commands::{COMMANDS, Command, Group, Where};
use super::keys::{Key, Press};
use super::state::{App, Overlay, Pane};

/// What a menu is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// What is selected.
    Selected,
    /// What is shown.
    Shown,
    /// The plan and the program.
    Plan,
}

/// A menu.
#[derive(Debug, Clone)]
pub struct Menu {
    /// Its title.
    pub title: String,
    /// Its lines.
    pub rows: Vec<&'static Command>,
    /// The line under the cursor.
    pub at: usize,
    /// Where it opens, column and row; nothing for the middle of the screen.
    pub place: Option<(u16, u16)>,
}

impl App {
    /// Opens the menu for something.
    pub fn open_menu(&mut self, about: About, place: Option<(u16, u16)>) {
        let (title, groups): (String, &[Group]) = match about {
            About::Selected => (self.selected.words(), &[Group::Change]),
            About::Shown => (Group::Situation.title().to_owned(), &[Group::Situation]),
            About::Plan => (self.file.plan.title.clone(), &[Group::Plan, Group::Program]),
        };
        let here = |c: &&Command| match c.place {
            Where::In(p) => p == self.pane && about == About::Selected,
            Where::Anywhere => groups.contains(&c.group) && c.id != "menu",
        };
        let rows: Vec<&'static Command> = COMMANDS.iter().filter(here).filter(|c| (c.when)(self)).collect();
        if !rows.is_empty() {
            self.overlay = Some(Overlay::Menu(Menu { title, rows, at: 0, place }));
            self.dirty = true;
        }
    }

    /// The menu for the pane with the keys.
    pub(super) fn open_menu_here(&mut self) {
        self.open_menu(if self.pane == Pane::Drawing { About::Shown } else { About::Selected }, None);
    }

    pub(super) fn press_menu(&mut self, mut menu: Menu, press: Press) {
        let last = menu.rows.len().saturating_sub(1);
        match press.key {
            Key::Esc => return,
            Key::Char('c') if press.ctrl => return,
            Key::Enter => return self.choose(&menu),
            Key::Down => menu.at = (menu.at + 1).min(last),
            Key::Up => menu.at = menu.at.saturating_sub(1),
            Key::Home | Key::PageUp => menu.at = 0,
            Key::End | Key::PageDown => menu.at = last,
            // A command's own key works here too.
            _ => {
                let named = self.keymap.lookup(self.pane, press).map(|c| c.id);
                if let Some(at) = menu.rows.iter().position(|c| Some(c.id) == named) {
                    menu.at = at;
                    return self.choose(&menu);
                }
            }
        }
        self.overlay = Some(Overlay::Menu(menu));
    }

    fn choose(&mut self, menu: &Menu) {
        if let Some(c) = menu.rows.get(menu.at) {
            self.run(c.id);
        }
    }

    /// A line of the list in front was clicked: a menu's is run, a question's is answered, another list's is put under
    /// the cursor, and taken when it is there already. Beside a menu, a click closes it.
    pub fn click_list(&mut self, line: Option<usize>) {
        let enter = Press::plain(Key::Enter);
        match (&mut self.overlay, line) {
            (Some(Overlay::Menu(m)), Some(i)) if i < m.rows.len() => {
                m.at = i;
                self.press(enter);
            }
            (Some(Overlay::Menu(_)), None) => self.overlay = None,
            (Some(Overlay::Picker(p)), Some(i)) if i < p.matching().len() => {
                if p.at == i {
                    self.press(enter);
                } else {
                    p.at = i;
                }
            }
            (Some(o), Some(i)) => {
                if let Some(p) = o.choices().get(i).and_then(|(key, _)| Press::parse(key)) {
                    self.press(p);
                }
            }
            _ => {}
        }
        self.dirty = true;
    }

    /// The wheel was turned over what is in front.
    pub fn wheel_list(&mut self, down: bool) {
        let scrolls = matches!(
            self.overlay,
            Some(
                Overlay::Menu(_)
                    | Overlay::Picker(_)
                    | Overlay::Help(_)
                    | Overlay::Log(_)
                    | Overlay::Faults(_)
                    | Overlay::Sheet(_)
                    | Overlay::Beside(_)
                    | Overlay::Compare(..)
            )
        );
        for _ in 0..if scrolls { 3 } else { 0 } {
            self.press(Press::plain(if down { Key::Down } else { Key::Up }));
        }
    }
}
