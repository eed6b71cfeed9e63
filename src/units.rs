//! Quantities as text with a unit, and back. From here upward a quantity is a uom type; below, plain SI numbers.

use std::fmt;

use uom::si::{
    angle, f64 as si, force, length, linear_mass_density, mass, pressure, ratio, surface_tension,
    thermodynamic_temperature, time, velocity,
};

/// Angles.
pub use uom::si::f64::Angle;
/// Forces.
pub use uom::si::f64::Force;
/// Lengths.
pub use uom::si::f64::Length;
/// Mass per length.
pub use uom::si::f64::LinearMassDensity;
/// Masses.
pub use uom::si::f64::Mass;
/// Stress, and stiffness of what things are made of.
pub use uom::si::f64::Pressure as Stress;
/// Shares of one.
pub use uom::si::f64::Ratio;
/// Force per length of give.
pub use uom::si::f64::SurfaceTension as Stiffness;
/// Temperatures.
pub use uom::si::f64::ThermodynamicTemperature as Temperature;
pub use uom::si::f64::Time;
/// Speeds.
pub use uom::si::f64::Velocity;

mod webbing {
    unit! {
        system: uom::si;
        quantity: uom::si::linear_mass_density;

        @gram_per_meter: 1.0E-3; "g/m", "gram per meter", "grams per meter";
    }
}

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dim {
    /// m
    Length,
    /// N
    Force,
    /// kg
    Mass,
    /// kg/m
    LinearMass,
    /// m/s
    Velocity,
    /// rad
    Angle,
    /// K
    Temperature,
    /// 1
    Share,
    /// N/m
    Stiffness,
    /// s
    Time,
    /// Pa
    Stress,
}

/// Which units people are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// m, kN, kg, °C
    #[default]
    Si,
    /// ft, lbf, lb, °F
    Us,
}

struct Unit {
    symbol: &'static str,
    dim: Dim,
    to_si: fn(f64) -> f64,
    from_si: fn(f64) -> f64,
}

macro_rules! units {
    ($($symbol:literal $dim:ident $quantity:ident $($module:ident)::+;)*) => {
        &[$(Unit {
            symbol: $symbol,
            dim: Dim::$dim,
            to_si: |v| si::$quantity::new::<$($module)::+>(v).value,
            from_si: |v| si::$quantity { value: v, ..Default::default() }.get::<$($module)::+>(),
        }),*]
    };
}

/// Every unit that a plan may use. The first of each kind is the one that messages suggest.
const UNITS: &[Unit] = units! {
    "m" Length Length length::meter;
    "mm" Length Length length::millimeter;
    "cm" Length Length length::centimeter;
    "km" Length Length length::kilometer;
    "ft" Length Length length::foot;
    "in" Length Length length::inch;
    "kN" Force Force force::kilonewton;
    "N" Force Force force::newton;
    "daN" Force Force force::decanewton;
    "kgf" Force Force force::kilogram_force;
    "lbf" Force Force force::pound_force;
    "kg" Mass Mass mass::kilogram;
    "g" Mass Mass mass::gram;
    "t" Mass Mass mass::ton;
    "lb" Mass Mass mass::pound;
    "g/m" LinearMass LinearMassDensity webbing::gram_per_meter;
    "kg/m" LinearMass LinearMassDensity linear_mass_density::kilogram_per_meter;
    "lb/ft" LinearMass LinearMassDensity linear_mass_density::pound_per_foot;
    "m/s" Velocity Velocity velocity::meter_per_second;
    "km/h" Velocity Velocity velocity::kilometer_per_hour;
    "kt" Velocity Velocity velocity::knot;
    "mph" Velocity Velocity velocity::mile_per_hour;
    "deg" Angle Angle angle::degree;
    "rad" Angle Angle angle::radian;
    "degC" Temperature ThermodynamicTemperature thermodynamic_temperature::degree_celsius;
    "degF" Temperature ThermodynamicTemperature thermodynamic_temperature::degree_fahrenheit;
    "K" Temperature ThermodynamicTemperature thermodynamic_temperature::kelvin;
    "%" Share Ratio ratio::percent;
    "kN/mm" Stiffness SurfaceTension surface_tension::meganewton_per_meter;
    "kN/m" Stiffness SurfaceTension surface_tension::kilonewton_per_meter;
    "N/m" Stiffness SurfaceTension surface_tension::newton_per_meter;
    "s" Time Time time::second;
    "ms" Time Time time::millisecond;
    "min" Time Time time::minute;
    "h" Time Time time::hour;
    "d" Time Time time::day;
    "MPa" Stress Pressure pressure::megapascal;
    "GPa" Stress Pressure pressure::gigapascal;
    "psi" Stress Pressure pressure::pound_force_per_square_inch;
};

impl Dim {
    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Force => "force",
            Self::Mass => "mass",
            Self::LinearMass => "mass per length",
            Self::Velocity => "speed",
            Self::Angle => "angle",
            Self::Temperature => "temperature",
            Self::Share => "share",
            Self::Stiffness => "stiffness",
            Self::Time => "time",
            Self::Stress => "stress",
        }
    }

    /// A text of this kind, as an example to follow.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Self::Length => "62 m",
            Self::Force => "3.5 kN",
            Self::Mass => "80 kg",
            Self::LinearMass => "65 g/m",
            Self::Velocity => "10 m/s",
            Self::Angle => "84 deg",
            Self::Temperature => "12 degC",
            Self::Share => "4 %",
            Self::Stiffness => "2 kN/mm",
            Self::Time => "2 ms",
            Self::Stress => "160 MPa",
        }
    }

    /// The symbols it may be written with.
    pub fn symbols(self) -> impl Iterator<Item = &'static str> {
        UNITS.iter().filter(move |u| u.dim == self).map(|u| u.symbol)
    }

    /// Largest size that can be meant in a rig, in SI; beyond it a number is a slip.
    #[must_use]
    pub fn largest(self) -> f64 {
        match self {
            Self::Length => 2e4,
            Self::Force => 1e8,
            Self::Mass => 1e7,
            Self::LinearMass => 100.0,
            Self::Velocity => 150.0,
            Self::Angle => 4.0 * std::f64::consts::PI,
            Self::Temperature => 600.0,
            Self::Share => 10.0,
            Self::Stiffness => 1e11,
            Self::Time => 1e9,
            Self::Stress => 1e12,
        }
    }
}

/// Why a text is not the quantity asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum UnitError {
    /// No number at its start.
    NoNumber,
    /// A number without a unit.
    NoUnit(Dim),
    /// A unit that is not known at all.
    UnknownUnit(String, Dim),
    /// A unit of something else.
    WrongKind(&'static str, Dim, Dim),
    /// Infinite, or not a number.
    NotFinite,
    /// Too large to be meant.
    TooLarge(Dim),
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoNumber => write!(f, "there is no number here"),
            Self::NoUnit(d) => write!(f, "a {} needs its unit", d.name()),
            Self::UnknownUnit(u, d) => write!(f, "“{u}” is not a unit of {}", d.name()),
            Self::WrongKind(u, is, want) => {
                write!(
                    f,
                    "{u} is a unit of {}, and {} {} is wanted",
                    is.name(),
                    if want == &Dim::Angle { "an" } else { "a" },
                    want.name()
                )
            }
            Self::NotFinite => write!(f, "the number is not finite"),
            Self::TooLarge(d) => write!(f, "the {} is too large to be meant", d.name()),
        }
    }
}

impl UnitError {
    /// What to write instead.
    #[must_use]
    pub fn help(&self, dim: Dim) -> String {
        let units: Vec<_> = dim.symbols().collect();
        match self {
            Self::UnknownUnit(u, _) if u.starts_with(',') => "decimals are parted by a point, not a comma".to_owned(),
            Self::UnknownUnit(u, _) => {
                let near = UNITS
                    .iter()
                    .filter(|c| c.dim == dim)
                    .filter(|c| c.symbol.eq_ignore_ascii_case(u) || strsim::levenshtein(c.symbol, u) == 1)
                    .min_by_key(|c| (!c.symbol.eq_ignore_ascii_case(u), c.symbol.len().abs_diff(u.len())));
                near.map_or_else(
                    || format!("units of {}: {}", dim.name(), units.join(", ")),
                    |c| format!("did you mean {}? Units of {}: {}", c.symbol, dim.name(), units.join(", ")),
                )
            }
            Self::TooLarge(_) => format!("the largest allowed is {}", show(dim, dim.largest(), System::Si)),
            _ => format!("write it like \"{}\"; units: {}", dim.example(), units.join(", ")),
        }
    }
}

/// Reads `text` as a quantity of `dim`, in SI.
///
/// # Errors
/// When the text has no number, no unit, or a unit of another kind, or the number is out of any range.
pub fn parse(text: &str, dim: Dim) -> Result<f64, UnitError> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|&(i, c)| {
            let exponent = matches!(c, 'e' | 'E')
                && i > 0
                && text[i + 1..].starts_with(|n: char| n.is_ascii_digit() || n == '-' || n == '+');
            !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+') || exponent)
        })
        .map_or(text.len(), |(i, _)| i);
    let (number, unit) = (text[..end].trim(), text[end..].trim());
    if number.is_empty() && matches!(text.to_ascii_lowercase().as_str(), "inf" | "nan" | "infinity") {
        return Err(UnitError::NotFinite);
    }
    let value: f64 = number.parse().map_err(|_| UnitError::NoNumber)?;
    if unit.is_empty() {
        return Err(UnitError::NoUnit(dim));
    }
    let unit = match unit {
        "°" => "deg",
        "°C" => "degC",
        "°F" => "degF",
        other => other,
    };
    let Some(found) = UNITS.iter().find(|u| u.symbol == unit) else {
        return Err(UnitError::UnknownUnit(unit.to_owned(), dim));
    };
    if found.dim != dim {
        return Err(UnitError::WrongKind(found.symbol, found.dim, dim));
    }
    let si = (found.to_si)(value);
    if !si.is_finite() {
        return Err(UnitError::NotFinite);
    }
    if si.abs() > dim.largest() {
        return Err(UnitError::TooLarge(dim));
    }
    Ok(si)
}

pub(crate) fn in_unit(symbol: &str, value_si: f64) -> f64 {
    UNITS.iter().find(|u| u.symbol == symbol).map_or(f64::NAN, |u| (u.from_si)(value_si))
}

/// `value` with so many digits after the point that about three count.
fn three(value: f64) -> String {
    let digits = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    let text = format!("{value:.digits$}");
    if text.trim_start_matches('-').trim_matches(|c| c == '0' || c == '.').is_empty() {
        return format!("{:.digits$}", 0.0);
    }
    text
}

/// A quantity (in SI) for people, with its unit.
#[must_use]
pub fn show(dim: Dim, si: f64, system: System) -> String {
    if !si.is_finite() {
        return "–".to_owned();
    }
    let (value, unit) = match (dim, system) {
        (Dim::Length, System::Si) if si.abs() < 0.1 && si != 0.0 => (in_unit("mm", si), "mm"),
        (Dim::Length, System::Us) if si.abs() < 0.1 && si != 0.0 => (in_unit("in", si), "in"),
        (Dim::Length, System::Si) => (si, "m"),
        (Dim::Length, System::Us) => (in_unit("ft", si), "ft"),
        (Dim::Force, System::Si) => {
            return format!("{:.digits$} kN", si / 1e3 + 0.0, digits = kilo_digits(si));
        }
        (Dim::Force, System::Us) => return format!("{:.0} lbf", in_unit("lbf", si) + 0.0),
        (Dim::Mass, System::Si) => (si, "kg"),
        (Dim::Mass, System::Us) => (in_unit("lb", si), "lb"),
        (Dim::LinearMass, System::Si) => (in_unit("g/m", si), "g/m"),
        (Dim::LinearMass, System::Us) => return format!("{:.4} lb/ft", in_unit("lb/ft", si)),
        (Dim::Velocity, System::Si) => (si, "m/s"),
        (Dim::Velocity, System::Us) => (in_unit("mph", si), "mph"),
        (Dim::Angle, _) => return format!("{:.0} deg", in_unit("deg", si)),
        (Dim::Temperature, System::Si) => return format!("{:.0} degC", in_unit("degC", si)),
        (Dim::Temperature, System::Us) => return format!("{:.0} degF", in_unit("degF", si)),
        (Dim::Share, _) => (in_unit("%", si), "%"),
        (Dim::Stiffness, _) => (in_unit("kN/m", si), "kN/m"),
        (Dim::Time, _) if si.abs() < 0.1 && si != 0.0 => (in_unit("ms", si), "ms"),
        (Dim::Time, _) => (si, "s"),
        (Dim::Stress, System::Us) => return format!("{:.0} psi", in_unit("psi", si)),
        (Dim::Stress, _) if si >= 1e9 => (in_unit("GPa", si), "GPa"),
        (Dim::Stress, _) => (in_unit("MPa", si), "MPa"),
    };
    format!("{} {unit}", three(value))
}

/// A small length of gear, in whole millimetres; `m` in metres.
pub fn mm(m: f64) -> String {
    format!("{:.0} mm", m * 1e3)
}

/// A length at the bench: millimetres under a metre, else metres to the millimetre; or inches and sixteenths, reduced. Rope
/// to cut is rounded up.
#[must_use]
pub fn at_bench(m: f64, system: System, up: bool) -> String {
    let to = |v: f64| if up { (v - 1e-6).ceil() } else { v.round() };
    match system {
        System::Si => match to(1e3 * m) {
            v if v < 1e3 => format!("{v:.0} mm"),
            v => format!("{:.3} m", v / 1e3),
        },
        System::Us => {
            let sixteenths = to(16.0 * in_unit("in", m)) as i64;
            let (whole, part) = (sixteenths / 16, sixteenths % 16);
            if part == 0 {
                return format!("{whole} in");
            }
            let by = 1_i64 << part.trailing_zeros();
            let fraction = format!("{}/{}", part / by, 16 / by);
            if whole == 0 { format!("{fraction} in") } else { format!("{whole} {fraction} in") }
        }
    }
}

/// A force at the bench, as a gauge there can be read: a tenth of a kilonewton, or 50 pounds-force.
#[must_use]
pub fn force_at_bench(n: f64, system: System) -> String {
    match system {
        System::Si => format!("{:.1} kN", n / 1e3),
        System::Us => format!("{:.0} lbf", (in_unit("lbf", n) / 50.0).round() * 50.0),
    }
}

fn kilo_digits(newtons: f64) -> usize {
    match newtons.abs() {
        v if v >= 1e5 => 0,
        v if v >= 1e4 => 1,
        _ => 2,
    }
}

/// A quantity type that a plan can hold.
pub trait Quantity: Copy {
    /// What it measures.
    const DIM: Dim;
    /// From SI.
    fn from_si(value: f64) -> Self;
    /// To SI.
    fn si(self) -> f64;
}

macro_rules! quantities {
    ($($dim:ident => $quantity:ident),*) => {
        $(impl Quantity for si::$quantity {
            const DIM: Dim = Dim::$dim;
            fn from_si(value: f64) -> Self {
                Self { value, ..Default::default() }
            }
            fn si(self) -> f64 {
                self.value
            }
        })*
    };
}
quantities!(
    Length => Length, Force => Force, Mass => Mass, LinearMass => LinearMassDensity, Velocity => Velocity,
    Angle => Angle, Temperature => ThermodynamicTemperature, Share => Ratio, Stiffness => SurfaceTension,
    Time => Time, Stress => Pressure
);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Exact by definition (international foot, inch and pound, standard gravity): NIST SP 811, appendix B.
    #[test]
    fn conversions_by_definition() {
        for (text, dim, want) in [
            ("1 ft", Dim::Length, 0.3048),
            ("1 in", Dim::Length, 0.0254),
            ("1 lb", Dim::Mass, 0.453_592_37),
            ("1 lbf", Dim::Force, 4.448_221_615),
            ("1 kgf", Dim::Force, 9.80665),
            ("1 daN", Dim::Force, 10.0),
            ("1 kt", Dim::Velocity, 1852.0 / 3600.0),
            ("1 mph", Dim::Velocity, 0.44704),
            ("36 km/h", Dim::Velocity, 10.0),
            ("32 degF", Dim::Temperature, 273.15),
            ("12degC", Dim::Temperature, 285.15),
            ("65 g/m", Dim::LinearMass, 0.065),
            ("1 lb/ft", Dim::LinearMass, 1.488_163_94),
            ("4 %", Dim::Share, 0.04),
            ("180 deg", Dim::Angle, std::f64::consts::PI),
            ("2e1 mm", Dim::Length, 0.02),
            ("2 kN/mm", Dim::Stiffness, 2e6),
        ] {
            let got = parse(text, dim).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!((got - want).abs() <= 2e-7 * want.abs(), "{text}: {got} against {want}");
        }
    }

    #[test]
    fn says_what_is_wrong() {
        assert_eq!(parse("62", Dim::Length), Err(UnitError::NoUnit(Dim::Length)));
        assert_eq!(parse("m", Dim::Length), Err(UnitError::NoNumber));
        assert_eq!(parse("62 kN", Dim::Length), Err(UnitError::WrongKind("kN", Dim::Force, Dim::Length)));
        assert!(matches!(parse("62 furlong", Dim::Length), Err(UnitError::UnknownUnit(..))));
        assert_eq!(parse("1e300 m", Dim::Length), Err(UnitError::TooLarge(Dim::Length)));
        assert_eq!(parse("1e999 m", Dim::Length), Err(UnitError::NotFinite));
        let slip = parse("3 kn", Dim::Force).expect_err("no such unit");
        assert!(slip.help(Dim::Force).contains("did you mean kN"));
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,20}") {
            for dim in [Dim::Length, Dim::Force, Dim::Temperature, Dim::Share] {
                if let Ok(v) = parse(&text, dim) {
                    prop_assert!(v.is_finite());
                }
            }
        }

        #[test]
        fn there_and_back(value in -1e3..1e3_f64, unit in 0..UNITS.len()) {
            let u = &UNITS[unit];
            let back = (u.from_si)((u.to_si)(value));
            prop_assert!((back - value).abs() < 1e-9 * (1.0 + value.abs()));
        }
    }
}
