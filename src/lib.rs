//! spanwright

pub mod mechanics;
