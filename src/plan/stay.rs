//! The line that stays up: from when, when it is pulled up again, and what is forecast for each day.

use jiff::civil::Date;

use crate::units::{Temperature, Time, Velocity};

/// What is forecast for a day, the night before it first.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// As 2026-07-12.
    pub date: Date,
    /// The coldest, the night before.
    pub low: Temperature,
    /// The warmest, by day.
    pub high: Temperature,
    /// Mean wind.
    pub wind: Velocity,
    /// The strongest gust.
    pub gust: Velocity,
    /// Whether it rains.
    pub rain: bool,
}

/// A line that stays up.
#[derive(Debug, Clone, PartialEq)]
pub struct Stay {
    /// The day in whose evening it is tensioned.
    pub from: Date,
    /// When it is pulled up again, after it was tensioned.
    pub pull_up: Vec<Time>,
    /// Days, in order.
    pub days: Vec<Forecast>,
}
