//! Sheets of the plan before they are printed: looked at, then written beside the plan.

use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::PathBuf;

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::state::{App, Overlay};
use super::studies::About;
use crate::review::in_view;
use crate::sheets::page::{Form, Page, Paper};
use crate::sheets::{self, Facts, Kind, Stock, sheet};

/// What can be looked at and printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leaf {
    /// A sheet for the trip.
    Sheet(Kind),
    /// Where the figures of the selected piece come from.
    Why,
    /// What proves the figures.
    Certificates,
    /// What changed since the baseline, and what that did.
    Changes,
    /// How far the plan may differ, and what would mend it.
    Limits,
    /// How sure the verdicts are.
    Doubt,
    /// The piece of gear that was designed last.
    Bench,
}

impl Leaf {
    /// In the order in which they are leafed through.
    pub const ALL: [Self; 19] = [
        Self::Sheet(Kind::Card),
        Self::Sheet(Kind::Gear),
        Self::Sheet(Kind::Cut),
        Self::Sheet(Kind::Splices),
        Self::Sheet(Kind::Over),
        Self::Sheet(Kind::Day),
        Self::Sheet(Kind::Rescue),
        Self::Sheet(Kind::Edge),
        Self::Sheet(Kind::Stay),
        Self::Sheet(Kind::Frame),
        Self::Sheet(Kind::Crew),
        Self::Sheet(Kind::Scout),
        Self::Sheet(Kind::Review),
        Self::Why,
        Self::Limits,
        Self::Doubt,
        Self::Changes,
        Self::Certificates,
        Self::Bench,
    ];

    /// In titles and names of files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Sheet(kind) => kind.name(),
            Self::Why => "why",
            Self::Certificates => "solver checks",
            Self::Changes => "changes",
            Self::Limits => "limits",
            Self::Doubt => "doubt",
            Self::Bench => "bench",
        }
    }
}

/// A sheet being looked at.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// Which, of [`Leaf::ALL`].
    pub kind: usize,
    /// It, or why it cannot be written.
    pub page: Result<Box<Page>, String>,
    /// Its lines as text.
    pub lines: Vec<String>,
    /// On which page of paper each of its blocks ends.
    pub ends: Vec<usize>,
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
        let kind = kind % Leaf::ALL.len();
        let leaf = Leaf::ALL[kind];
        let page = self.leaf(leaf).map(Box::new);
        let text = match (&page, leaf) {
            (Ok(_), Leaf::Why) => self.reasons().unwrap_or_default(),
            (Ok(p), _) => p.as_text(),
            (Err(why), _) => format!("{}: {why}.", leaf.name()),
        };
        let lines = text.lines().map(str::to_owned).collect();
        let ends = page.as_ref().map_or_else(|_| Vec::new(), |p| p.ends(Paper::A4));
        self.overlay = Some(Overlay::Sheet(Box::new(Sheet { kind, page, lines, ends, at: 0 })));
        self.dirty = true;
    }

    /// Looks again at a sheet that could not be written: what it waited for may have come.
    pub(super) fn look_again(&mut self) {
        if let Some(Overlay::Sheet(s)) = &self.overlay
            && s.page.is_err()
        {
            self.look_at_sheet(s.kind);
        }
    }

    /// The block that a sheet may have a start of asked for: one that the plan is without, or one more day.
    #[must_use]
    pub fn may_start(&self, sheet: &Sheet) -> Option<PageBlock> {
        let block = PageBlock::of_leaf(Leaf::ALL[sheet.kind])?;
        (block == PageBlock::Day || !block.stands(&self.file.plan)).then_some(block)
    }

    /// Opens a leaf by its name.
    pub(super) fn leaf_to(&mut self, leaf: Leaf) {
        let kind = Leaf::ALL.iter().position(|l| *l == leaf).unwrap_or(0);
        self.look_at_sheet(kind);
    }

    fn leaf(&mut self, leaf: Leaf) -> Result<Page, String> {
        if leaf == Leaf::Bench {
            let none = "nothing was designed yet: the command “splice” asks what is to be made";
            return self.benched.as_deref().cloned().ok_or_else(|| none.to_owned());
        }
        // A sheet carries the plan's digest: it must not stand over the figures of an older text.
        let review = self.review.as_ref().filter(|_| self.fresh()).ok_or("the review of this plan is not done yet")?;
        match leaf {
            Leaf::Sheet(Kind::Day) if !self.file.plan.days.is_empty() => self.study(About::Day, &review.clone()),
            Leaf::Sheet(kind) => self.sheet_of(kind),
            Leaf::Why => {
                let text = self.reasons().ok_or("nothing is judged of what is selected")?;
                let mut page = Page::of("Why", &self.file);
                text.lines().filter(|l| !l.trim().is_empty()).for_each(|l| page.text(l.trim()));
                Ok(page)
            }
            Leaf::Certificates => Ok(sheets::certificates(&self.file, review)),
            Leaf::Changes => {
                let (before, file) = self.baseline.as_ref().zip(self.baseline_file.as_ref()).ok_or(
                    "no baseline is set: the command “baseline” holds what follows against the plan as it is then",
                )?;
                let c = sheets::comparison((file, before), (&self.file, review));
                Ok(sheets::comparison_sheet(&c, self.settings.system))
            }
            Leaf::Bench => Err("nothing was designed yet".to_owned()),
            Leaf::Limits | Leaf::Doubt if review.to_come > 0 => {
                Err("it needs the falls and failures, which are still being played".to_owned())
            }
            Leaf::Limits => self.study(About::Limits, &review.clone()),
            Leaf::Doubt => self.study(About::Doubt, &review.clone()),
        }
    }

    /// The reasons behind what is selected, or behind the line's own figures.
    fn reasons(&self) -> Option<String> {
        let review = self.review.as_ref()?;
        let system = self.settings.system;
        let mut names: Vec<String> = Vec::new();
        for row in self.rows_of_selected() {
            if !names.contains(&row.place.to_string()) {
                names.push(row.place.to_string());
            }
        }
        if names.is_empty() {
            names = sheets::why::FIGURES.iter().map(|f| f.0.to_owned()).collect();
        }
        let told: Vec<String> = names.iter().filter_map(|n| sheets::why::why(&self.file, review, n, system)).collect();
        (!told.is_empty()).then(|| told.join("\n"))
    }

    fn sheet_of(&self, kind: Kind) -> Result<Page, String> {
        let review = self.review.as_ref().ok_or("the review of this plan is not done yet")?;
        let solver = in_view(&self.file).map_err(|_| "the rig cannot be tensioned")?;
        let facts = Facts { file: &self.file, review, solver: &solver, system: self.settings.system, tried: None };
        // Against the baseline, when one is set.
        let before = self.baseline.as_ref().zip(self.baseline_file.as_ref());
        let changes = before.map(|(r, f)| sheets::comparison((f, r), (&self.file, review)));
        let mut page = sheet(kind, &facts, &Stock { changes, ..Stock::default() }, super::today())?;
        if review.to_come > 0 {
            page.subtitle
                .push(format!("{} falls and failures were still to come when this was written.", review.to_come));
        }
        Ok(page)
    }

    /// A key while a sheet is looked at.
    pub(super) fn press_sheet(&mut self, mut sheet: Box<Sheet>, press: Press) {
        let leaf = Leaf::ALL[sheet.kind];
        match (press.key, self.may_start(&sheet)) {
            (Key::Right | Key::Tab, _) => self.look_at_sheet(sheet.kind + 1),
            (Key::Left | Key::BackTab, _) => self.look_at_sheet(sheet.kind + Leaf::ALL.len() - 1),
            (Key::Char('1'), _) => {}
            (Key::Char('a'), Some(block)) => self.begin(block),
            (Key::Char('s'), _) if leaf == Leaf::Sheet(Kind::Day) => self.take_stretch(),
            (Key::Char(digit), _) if self.look_at_page(digit) => {}
            (Key::Char(c), _) if FORMS.iter().any(|f| f.0 == c) => {
                let (_, ending, form) = FORMS.into_iter().find(|f| f.0 == c).unwrap_or(FORMS[0]);
                match &sheet.page {
                    Ok(page) => self.write_sheet(page, leaf, ending, form),
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
    fn write_sheet(&mut self, page: &Page, kind: Leaf, ending: &str, form: Form) {
        let bytes = match page.print(form) {
            Ok(b) => b,
            Err(e) => return self.refuse(e.to_string()),
        };
        let plan = self.path.clone().unwrap_or_else(|| PathBuf::from(self.file_name()));
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
