//! When the sun sets, by the low-precision formulas of almanacs: good to a minute or two where it is no thing of the far
//! north, which hills and clouds change by more.

use jiff::civil::Date;

/// Height of the sun's middle as its upper edge sets, degrees: half its width and the bend of its light.
const SETS_DEG: f64 = -0.833;
/// The same at the end of civil twilight: without a lamp nobody works past it.
const DARK_DEG: f64 = -6.0;

/// What becomes of the light of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Light {
    /// The sun sets so many hours after midnight of UTC, and it is dark at the second; a day may end after the next midnight.
    Ends { sunset_h: f64, dark_h: Option<f64> },
    /// The sun does not set.
    All,
    /// It does not rise.
    None,
}

/// Right ascension and declination of the sun, rad, so many days after noon of 2000-01-01 (UTC).
fn sun(days: f64) -> (f64, f64) {
    let mean = (280.460 + 0.985_647_4 * days).to_radians();
    let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
    let along = mean + (1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin()).to_radians();
    let tilt = (23.439 - 4e-7 * days).to_radians();
    ((tilt.cos() * along.sin()).atan2(along.cos()), (tilt.sin() * along.sin()).asin())
}

/// Hours of UTC, from midnight of the day, at which the sun sinks through a height at a place (degrees north and east);
/// whether it stays above or below where it does not.
fn sinks(date: Date, north_deg: f64, east_deg: f64, height_deg: f64) -> Result<f64, Light> {
    let noon = Date::constant(2000, 1, 1);
    let midnight = f64::from(date.since(noon).map_or(0, |s| s.get_days())) - 0.5;
    let north = north_deg.to_radians();
    // Local noon by the sun's mean, then anew for where the sun is at the hour found.
    let mut hour = 12.0 - east_deg / 15.0;
    for _ in 0..4 {
        let days = midnight + hour / 24.0;
        let (ascension, declination) = sun(days);
        let cos = (height_deg.to_radians().sin() - north.sin() * declination.sin()) / (north.cos() * declination.cos());
        let half = match cos {
            c if c < -1.0 => return Err(Light::All),
            c if c > 1.0 => return Err(Light::None),
            c => c.acos().to_degrees() / 15.0,
        };
        // Sidereal time at Greenwich less the sun's ascension is where the sun stands there.
        let sidereal = 18.697_374_558 + 24.065_709_824_419_08 * days;
        let stands = sidereal + east_deg / 15.0 - ascension.to_degrees() / 15.0 - half;
        hour -= (stands + 12.0).rem_euclid(24.0) - 12.0;
    }
    Ok(hour)
}

/// What becomes of the light of a day at a place, degrees north and east.
pub(super) fn light(date: Date, north_deg: f64, east_deg: f64) -> Light {
    let dark_h = sinks(date, north_deg, east_deg, DARK_DEG).ok();
    match sinks(date, north_deg, east_deg, SETS_DEG) {
        Ok(sunset_h) => Light::Ends { sunset_h, dark_h },
        Err(light) => light,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sunset and the end of civil twilight, hours of UTC, by the library `astral` 3.2 (the equations of NOAA's calculator),
    /// at invented places: the Alps on the longest and the shortest day, the Cape, California, Oslo's latitude at the equinox,
    /// Iceland's where the sun sets after midnight and it does not get dark, the far south, the equator.
    #[test]
    fn the_sun_sets_as_an_almanac_has_it() {
        let off_h = |a: f64, b: f64| ((a - b + 12.0).rem_euclid(24.0) - 12.0).abs();
        for (north, east, [y, m, d], sunset, dark) in [
            (46.5, 11.8, [2026, 6, 21], 19.1512, Some(19.8181)),
            (46.5, 11.8, [2026, 12, 21], 15.4633, Some(16.0595)),
            (-33.9, 18.4, [2026, 10, 3], 16.8397, Some(17.2664)),
            (37.7, -119.6, [2026, 10, 3], 1.6576, Some(2.1012)),
            (59.9, 10.7, [2026, 3, 20], 17.5197, Some(18.2256)),
            (64.1, -21.9, [2026, 6, 21], 0.0217, None),
            (-45.0, 168.7, [2027, 1, 15], 8.5111, Some(9.1163)),
            (1.3, 103.8, [2026, 8, 9], 11.2514, Some(11.6165)),
        ] {
            let day = Date::constant(y, m as i8, d as i8);
            let Light::Ends { sunset_h, dark_h } = light(day, north, east) else { panic!("{north} {east}: no sunset") };
            assert!(off_h(sunset_h, sunset) < 0.05, "{north} {east}: {sunset_h} for {sunset}");
            assert_eq!(dark_h.is_some(), dark.is_some(), "{north} {east}");
            if let (Some(a), Some(b)) = (dark_h, dark) {
                assert!(off_h(a, b) < 0.05, "{north} {east}: dark {a} for {b}");
            }
        }
        assert_eq!(light(Date::constant(2026, 6, 21), 70.0, 25.0), Light::All);
        assert_eq!(light(Date::constant(2026, 12, 21), 70.0, 25.0), Light::None);
    }
}
