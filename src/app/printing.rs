//! Sheets of the plan before they are printed: looked at, then written beside the plan.

use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::PathBuf;

use super::keys::{Key, Press};
use super::state::{App, Overlay};
use crate::review::in_view;
use crate::sheets::page::{Form, Page, Paper};
use crate::sheets::{Facts, Kind, Stock, sheet};

/// A sheet being looked at.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// Which, of [`Kind::ALL`].
    pub kind: usize,
    /// It, or why it cannot be written.
    pub page: Result<Box<Page>, String>,
    /// Its lines as text.
    pub lines: Vec<String>,
    /// How far it is scrolled.
    pub at: usize,
}

/// Forms and their keys; the ending of the file's name.
const FORMS: [(char, &str, Form); 4] = [
    ('p', "pdf", Form::Pdf(Paper::A4)),
    ('h', "html", Form::Html),
    ('m', "md", Form::Markdown),
    ('t', "txt", Form::Text),
];

impl App {
    /// Opens a sheet, by its number.
    pub fn look_at_sheet(&mut self, kind: usize) {
        let kind = kind % Kind::ALL.len();
        let page = self.sheet_of(Kind::ALL[kind]).map(Box::new);
        let text = match &page {
            Ok(p) => p.as_text(),
            Err(why) => format!("This sheet cannot be written: {why}."),
        };
        let lines = text.lines().map(str::to_owned).collect();
        self.overlay = Some(Overlay::Sheet(Box::new(Sheet { kind, page, lines, at: 0 })));
    }

    fn sheet_of(&self, kind: Kind) -> Result<Page, String> {
        // A sheet carries the plan's digest: it must not stand over the figures of an older text.
        let review = self.review.as_ref().filter(|_| self.fresh()).ok_or("the review of this plan is not done yet")?;
        let solver = in_view(&self.file).map_err(|_| "the rig cannot be tensioned")?;
        let facts = Facts { file: &self.file, review, solver: &solver, system: self.settings.system };
        let today = jiff::Timestamp::now().to_zoned(jiff::tz::TimeZone::UTC).date();
        let mut page = sheet(kind, &facts, &Stock::default(), today)?;
        if review.to_come > 0 {
            page.subtitle
                .push(format!("{} falls and failures were still to come when this was written.", review.to_come));
        }
        Ok(page)
    }

    /// A key while a sheet is looked at.
    pub(super) fn press_sheet(&mut self, mut sheet: Box<Sheet>, press: Press) {
        match press.key {
            Key::Right | Key::Tab => self.look_at_sheet(sheet.kind + 1),
            Key::Left | Key::BackTab => self.look_at_sheet(sheet.kind + Kind::ALL.len() - 1),
            Key::Char(c) if FORMS.iter().any(|f| f.0 == c) => {
                let (_, ending, form) = FORMS.into_iter().find(|f| f.0 == c).unwrap_or(FORMS[0]);
                match &sheet.page {
                    Ok(page) => self.write_sheet(page, Kind::ALL[sheet.kind], ending, form),
                    Err(why) => self.refuse(format!("this sheet cannot be written: {why}")),
                }
                self.overlay = Some(Overlay::Sheet(sheet));
            }
            _ => {
                if let Some(at) = super::update::scrolled(sheet.at, press) {
                    sheet.at = at.min(sheet.lines.len().saturating_sub(1));
                    self.overlay = Some(Overlay::Sheet(sheet));
                }
            }
        }
    }

    /// Writes a sheet beside the plan, under a name that is free.
    fn write_sheet(&mut self, page: &Page, kind: Kind, ending: &str, form: Form) {
        let bytes = match page.print(form) {
            Ok(b) => b,
            Err(e) => return self.refuse(e.to_string()),
        };
        let plan = self.path.clone().unwrap_or_else(|| PathBuf::from("plan.ron"));
        let stem = plan.file_stem().map_or_else(|| "plan".to_owned(), |s| s.to_string_lossy().into_owned());
        for n in 1..1000 {
            let number = if n == 1 { String::new() } else { format!("-{n}") };
            let path = plan.with_file_name(format!("{stem}-{}{number}.{ending}", kind.name()));
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(mut f) => {
                    return match f.write_all(&bytes) {
                        Ok(()) => self.say(format!("wrote {}", path.display())),
                        Err(e) => self.refuse(format!("{}: {e}", path.display())),
                    };
                }
                Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {}
                Err(e) => return self.refuse(format!("{}: {e}", path.display())),
            }
        }
        self.refuse("a thousand such sheets are there already");
    }
}
