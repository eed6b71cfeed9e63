//! The shape of a document as data: one table drives checking, the forms of the workbench and the format's description.

use crate::units::Dim;

/// What a value may be.
#[derive(Debug)]
pub enum Kind {
    /// A text with a unit.
    Quantity(Dim, Range),
    /// A plain number.
    Number(Range),
    /// A whole number from 0.
    Whole,
    /// `true` or `false`.
    Flag,
    /// Free text.
    Words,
    /// A day, as text: 2026-10-03.
    Date,
    /// A time of day, as text: 09:00.
    Clock,
    /// The name of something defined elsewhere.
    Ref(Target),
    /// One of several forms.
    Choice(&'static [Form]),
    /// A struct.
    Record(&'static Record),
    /// Any number of one kind.
    List(&'static Kind),
    /// Values under names of the writer's own.
    Map(Keys, &'static Kind),
    /// A fixed number of values.
    Tuple(&'static [Slot]),
}

/// Which numbers are allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// Any finite number.
    Any,
    /// Zero or more.
    NotNegative,
    /// More than zero.
    Positive,
    /// More than zero, at most one.
    Share,
    /// From zero to one.
    Place,
}

/// What a name refers to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// A point of the plan.
    Point,
    /// A run of the plan.
    Run,
    /// An item of the catalogue or of the plan.
    Item,
    /// A rope to work at an edge on.
    Tie,
    /// A leg that there was when it was written: it may be gone since, but a new name goes along.
    Leg,
}

/// Which keys a map takes.
#[derive(Debug, Clone, Copy)]
pub enum Keys {
    /// Names of the writer's own.
    Own,
    /// These only.
    From(&'static [&'static str]),
}

/// One alternative of a choice.
#[derive(Debug)]
pub struct Form {
    /// The name in front; empty for a bare value.
    pub name: &'static str,
    /// What follows the name.
    pub body: FormBody,
    /// What it means.
    pub doc: &'static str,
}

/// What follows a form's name.
#[derive(Debug)]
pub enum FormBody {
    /// Nothing.
    Alone,
    /// A value without any name.
    Bare(&'static Kind),
    /// Values by position.
    Slots(&'static [Slot]),
    /// Values by name.
    Fields(&'static [Field]),
}

/// A value by position.
#[derive(Debug)]
pub struct Slot {
    /// What it is called in messages.
    pub name: &'static str,
    /// What it may be.
    pub kind: Kind,
    /// Whether it may be left out (from the end).
    pub optional: bool,
}

/// A struct's fields.
#[derive(Debug)]
pub struct Record {
    /// The name that may stand in front.
    pub name: &'static str,
    /// What it is for.
    pub doc: &'static str,
    /// Its fields.
    pub fields: &'static [Field],
}

/// A value by name.
#[derive(Debug)]
pub struct Field {
    /// Its name in the file.
    pub name: &'static str,
    /// What it may be.
    pub kind: Kind,
    /// What happens without it: `Need::Required`, or the default in words.
    pub need: Need,
    /// What it means.
    pub doc: &'static str,
}

/// Whether a field may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It may not.
    Required,
    /// It may; the text says what then holds.
    Default(&'static str),
}

impl Kind {
    /// In a few words, for messages and the format's description.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Quantity(d, _) => format!("{} such as \"{}\"", d.name(), d.example()),
            Self::Number(Range::Share) => "number above 0, at most 1".to_owned(),
            Self::Number(_) => "number".to_owned(),
            Self::Whole => "whole number".to_owned(),
            Self::Flag => "true or false".to_owned(),
            Self::Words => "text".to_owned(),
            Self::Date => "date such as \"2026-10-03\"".to_owned(),
            Self::Clock => "time of day such as \"09:00\"".to_owned(),
            Self::Ref(Target::Point) => "name of a point".to_owned(),
            Self::Ref(Target::Run) => "name of a run".to_owned(),
            Self::Ref(Target::Item) => "name of an item".to_owned(),
            Self::Ref(Target::Tie) => "name of a tie".to_owned(),
            Self::Ref(Target::Leg) => "name of a leg".to_owned(),
            Self::Choice(forms) => forms.iter().map(Form::sketch).collect::<Vec<_>>().join(" | "),
            Self::Record(r) => format!("{}(…)", r.name),
            Self::List(k) => format!("[{}, …]", k.describe()),
            Self::Map(_, k) => format!("{{\"name\": {}, …}}", k.describe()),
            Self::Tuple(slots) => format!("({})", slots.iter().map(|s| s.name).collect::<Vec<_>>().join(", ")),
        }
    }
}

impl Form {
    /// How it is written, in short.
    #[must_use]
    pub fn sketch(&self) -> String {
        match &self.body {
            FormBody::Alone => self.name.to_owned(),
            FormBody::Bare(k) => k.describe(),
            FormBody::Slots(s) => {
                format!("{}({})", self.name, s.iter().map(|s| s.name).collect::<Vec<_>>().join(", "))
            }
            FormBody::Fields(_) => format!("{}(…)", self.name),
        }
    }
}
