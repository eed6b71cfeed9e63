//! Who comes: how many at each side, when they begin, where on the earth, and how long the work takes them.

use jiff::civil::{Date, Time as Clock};

use crate::units::{Angle, Time};

/// Where on the earth, for the light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ashore {
    /// North of the equator.
    pub latitude: Angle,
    /// East of Greenwich.
    pub longitude: Angle,
    /// How far clocks there are ahead of UTC.
    pub ahead: Time,
}

/// The people of a day, and their hours.
#[derive(Debug, Clone, PartialEq)]
pub struct Crew {
    /// How many at A and at B, whoever walks among them.
    pub at: [usize; 2],
    /// Which day.
    pub date: Date,
    /// When the first anchor is begun, by the clocks there.
    pub start: Clock,
    /// Where; nothing where it is not said, and then nothing of the light.
    pub place: Option<Ashore>,
    /// An anchor takes so long.
    pub anchor: Time,
    /// A stage takes so long: a line over, tensioning, a look at everything, a line back.
    pub stage: Time,
    /// How long people walk.
    pub walking: Time,
    /// From one side to the other.
    pub round: Option<Time>,
}
