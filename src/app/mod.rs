//! The workbench without a terminal.
use crate::units::System;
/// Settings
#[derive(Debug, Clone, Copy, Default)]
pub struct Settings {
    /// s
    pub system: System,
    /// a
    pub ascii: bool,
    /// m
    pub mouse: bool,
}
