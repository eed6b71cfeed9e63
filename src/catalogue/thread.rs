//! Screw threads as they are stamped: M12, M12x1.25, 3/8-16.

/// A screw thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Outside diameter, m.
    pub outside_m: f64,
    /// From turn to turn, m.
    pub pitch_m: f64,
}

/// Coarse pitches of metric threads, mm: ISO 261.
const COARSE: [(f64, f64); 10] = [
    (5.0, 0.8),
    (6.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (24.0, 3.0),
];
/// Turns an inch of coarse unified threads, by diameter in sixteenths of an inch: ASME B1.1 (UNC).
const UNIFIED: [(u32, f64); 8] =
    [(4, 20.0), (5, 18.0), (6, 16.0), (7, 14.0), (8, 13.0), (10, 11.0), (12, 10.0), (16, 8.0)];
const INCH_M: f64 = 0.0254;

impl Thread {
    /// As it is stamped; nothing where that is no thread, or its pitch is neither said nor the usual one of its size.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().to_uppercase().replace(['×', '*'], "X").replace(" UNC", "").replace(' ', "");
        if let Some(metric) = text.strip_prefix('M') {
            let (size, pitch) = metric.split_once('X').map_or((metric, None), |(s, p)| (s, Some(p)));
            let size: f64 = size.parse().ok()?;
            let pitch = match pitch {
                Some(p) => p.parse().ok()?,
                None => COARSE.iter().find(|(d, _)| (d - size).abs() < 1e-9)?.1,
            };
            return (size > 0.0 && pitch > 0.0 && pitch < size / 2.0)
                .then_some(Self { outside_m: 1e-3 * size, pitch_m: 1e-3 * pitch });
        }
        let (size, turns) = text.split_once('-').map_or((text.as_str(), None), |(s, t)| (s, Some(t)));
        let (over, under) = size.trim_end_matches('"').split_once('/').unwrap_or((size.trim_end_matches('"'), "1"));
        let (over, under): (u32, u32) = (over.parse().ok()?, under.parse().ok()?);
        if under == 0 || over * 16 % under != 0 || over == 0 {
            return None;
        }
        let sixteenths = over * 16 / under;
        let turns: f64 = match turns {
            Some(t) => t.parse().ok()?,
            None => UNIFIED.iter().find(|u| u.0 == sixteenths)?.1,
        };
        (turns > 0.0).then_some(Self { outside_m: f64::from(sixteenths) / 16.0 * INCH_M, pitch_m: INCH_M / turns })
    }

    /// Whether one goes into the other.
    #[must_use]
    pub fn fits(self, other: Self) -> bool {
        (self.outside_m - other.outside_m).abs() < 1e-4 && (self.pitch_m - other.pitch_m).abs() < 1e-5
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Diameters and pitches of ISO 261 and ASME B1.1, from memory.
    #[test]
    fn threads_are_read_as_stamped() {
        for (text, outside_mm, pitch_mm) in [
            ("M10", 10.0, 1.5),
            ("M12x1.25", 12.0, 1.25),
            ("m 12 × 1.75", 12.0, 1.75),
            ("3/8-16", 9.525, 1.5875),
            ("1/2", 12.7, 25.4 / 13.0),
            ("1/2-13 UNC", 12.7, 25.4 / 13.0),
            ("1", 25.4, 25.4 / 8.0),
        ] {
            let t = Thread::parse(text).unwrap_or_else(|| panic!("{text}"));
            assert!((1e3 * t.outside_m - outside_mm).abs() < 1e-9, "{text}: {t:?}");
            assert!((1e3 * t.pitch_m - pitch_mm).abs() < 1e-9, "{text}: {t:?}");
        }
        for text in ["", "M", "M11", "M10x9", "12", "x", "3/0", "3/7", "-16"] {
            assert_eq!(Thread::parse(text), None, "{text}");
        }
        let of = |t: &str| Thread::parse(t).expect("a thread");
        assert!(of("M12").fits(of("M12x1.75")));
        // Half an inch into twelve millimetres, three eighths into ten: what goes wrong at the shop.
        assert!(!of("1/2-13").fits(of("M12")) && !of("3/8-16").fits(of("M10")) && !of("M12").fits(of("M12x1.25")));
    }
}
