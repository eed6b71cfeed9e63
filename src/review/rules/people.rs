//! Rules about leash, checks, rescue.

use super::{Gravity, ItemClass, PRACTICE, Quantity, Role, Rule, at_part, declared, m, rule};

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
        "a leash that is static, longer than 2 m, or missing",
        "a static leash catches hard, a long one far",
        "dynamic rope, 1.2 to 1.6 m",
        PRACTICE,
        |c, r| {
            let Some((_, name, run)) = c.runs().find(|(_, _, run)| run.role == Role::Leash) else {
                r.say("", "the plan has no leash");
                return;
            };
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = c.item(&part.item).filter(|i| i.class.is_soft()) else {
                    continue;
                };
                if let crate::plan::PartLength::Is(l) = part.length
                    && l.si() > 2.0
                {
                    r.say(at_part(name, k), format!("the leash is {} long", m(l.si())));
                }
                let stretch = item.law().map_or(0.0, |l| l.at(4000.0).0);
                if stretch < 0.12 {
                    r.say(
                        at_part(name, k),
                        format!("{} stretches {:.0} % at 4 kN: static", item.title, 100.0 * stretch),
                    );
                }
            }
        }
    ),
    rule!(
        "buddy-check",
        Stop,
        "no partner check is declared",
        "walking untied is the leading cause of death",
        "ask and answer “tied in?” before every start",
        PRACTICE,
        |c, r| declared(c, r, "buddy check", "a partner check before every start")
    ),
    rule!(
        "rescue",
        Stop,
        "no rescue kit and plan are declared",
        "hanging still in a harness harms within minutes",
        "a kit at the line, practised",
        "HSE harness suspension guidance; common practice",
        |c, r| declared(c, r, "rescue kit", "a rescue kit and plan")
    ),
    rule!(
        "two-a-side",
        Caution,
        "people and words between the sides are not declared",
        "nobody to check, to rescue, to stop the tensioner",
        "two people a side, radios, agreed words",
        PRACTICE,
        |c, r| declared(c, r, "two a side", "two people a side with radios")
    ),
    rule!(
        "gates-closed",
        Caution,
        "a check of gates and pins before tension is not declared",
        "what is open opens under load",
        "close, wrench, mouse; then tension",
        PRACTICE,
        |c, r| declared(c, r, "gates closed", "everything closed, wrenched and moused before tension")
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
