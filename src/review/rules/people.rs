//! Rules about leash, checks, rescue.

use super::{Gravity, ItemClass, PRACTICE, Quantity, Role, Rule, at_part, m, rule};

/// Rules about leash, checks, rescue.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "leash-rings",
        Stop,
        "not two rings on the leash, or a connector among them",
        "connectors open and cut on webbing",
        "two forged rings around main and backup together",
        PRACTICE,
        |c, r| {
            let Some((_, name, run)) = c.runs().find(|(_, _, run)| run.role == Role::Leash) else {
                return;
            };
            let of = |class: ItemClass| {
                run.parts.iter().filter(|p| c.item(&p.item).is_some_and(|i| i.class == class)).count()
            };
            if of(ItemClass::Connector) > 0 {
                r.say(name, "the leash hangs on a connector");
            }
            if of(ItemClass::Ring) < 2 {
                r.say(name, format!("{} ring(s) on the leash", of(ItemClass::Ring)));
            }
        }
    ),
    rule!(
        "leash",
        Caution,
        "a leash that is static (a stop), longer than 2 m, of unstated ends, or missing",
        "a static leash catches hard, a long one far",
        "dynamic rope, 1.2 to 1.6 m",
        PRACTICE,
        |c, r| {
            let Some((_, name, run)) = c.runs().find(|(_, _, run)| run.role == Role::Leash) else {
                r.say("", "the plan has no leash");
                return;
            };
            let long_m: f64 = run.parts.iter().filter_map(|p| leash_part_m(c, p)).sum();
            if long_m > 2.0 {
                r.say(name, format!("the leash is {} long in all", m(long_m)));
            }
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = c.item(&part.item).filter(|i| i.class.is_soft()) else {
                    continue;
                };
                if part.ends.is_none() && (item.class.is_cut() || item.class == ItemClass::Leash) {
                    r.say(at_part(name, k), "how the leash is tied or sewn is not stated");
                }
                let stretch = item.law().map_or(0.0, |l| l.at(4000.0).0);
                if stretch < 0.12 {
                    r.stop(
                        at_part(name, k),
                        format!("{} stretches {:.0} % at 4 kN: static", item.title, 100.0 * stretch),
                    );
                }
            }
        }
    ),
    rule!(
        "heavy-walker",
        Note,
        "a walker heavier than 100 kg",
        "peaks grow with mass",
        "check the falls for that mass",
        PRACTICE,
        |c, r| {
            let kg = crate::review::case::heaviest_kg(c.plan);
            if kg > 100.0 {
                r.say("", format!("a walker of {kg:.0} kg"));
            }
        }
    ),
];

/// Length of a soft part of the leash, m.
fn leash_part_m(c: &super::Context<'_>, part: &crate::plan::Part) -> Option<f64> {
    let item = c.item(&part.item).filter(|i| i.class.is_soft())?;
    match part.length {
        crate::plan::PartLength::Is(l) => Some(l.si()),
        _ => item.length.map(Quantity::si),
    }
}
