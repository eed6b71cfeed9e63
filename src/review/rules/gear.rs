//! Rules about what each piece of gear is made for.

use super::{
    BTreeMap, BTreeSet, EndKind, FULL_BURY, Fibre, Gravity, Hitch, ItemClass, LEAST_BURY, PRACTICE, Quantity, Rule,
    SpliceStyle, at_part, kn, neighbours, rule,
};

/// Rules about what each piece of gear is made for.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "over-limit",
        Caution,
        "more than its working load limit in use",
        "the limit is the maker's word on daily use",
        "a bigger one",
        PRACTICE,
        |c, r| {
            for row in c.rows.iter().filter(|row| row.class == crate::review::case::Class::Working) {
                if let Some(wll) = row.strength.wll_n.filter(|w| row.demand_n > *w) {
                    r.say(
                        row.place.to_string(),
                        format!("{} in {}, working load limit {}", kn(row.demand_n), row.case, kn(wll)),
                    );
                }
            }
        }
    ),
    rule!(
        "connector-three-ways",
        Caution,
        "a connector or quick link pulled three ways",
        "it is made for two",
        "a ring, a plate or a bow shackle",
        "EN 12275 rates the long axis; common practice",
        |c, r| {
            for row in
                c.rows.iter().filter(|row| row.strength.steps.iter().any(|s| s.what.starts_with("pulled three ways")))
            {
                r.say(row.place.name().to_owned(), format!("{} is pulled three ways", row.title));
            }
        }
    ),
    rule!(
        "wide-bow",
        Caution,
        "legs spread more than 120° in a shackle's bow",
        "its rating no longer holds",
        "a ring, or longer legs",
        PRACTICE,
        |c, r| {
            for row in c
                .rows
                .iter()
                .filter(|row| row.strength.spot.contains("in the bow") && row.strength.spot.contains("spread"))
            {
                r.say(row.place.name().to_owned(), row.strength.spot.clone());
            }
        }
    ),
    rule!(
        "small-soft-shackle",
        Caution,
        "a soft shackle of less than 8 mm at a master",
        "the knot scatters, the metal is small",
        "8 mm with a button knot",
        PRACTICE,
        |c, r| {
            for (name, p) in &c.plan.points {
                if let Some(item) = p
                    .hardware
                    .as_ref()
                    .and_then(|h| c.item(h))
                    .filter(|i| i.class == ItemClass::SoftShackle && i.diameter.is_some_and(|d| d.si() < 0.0079))
                {
                    r.say(name.clone(), item.title.clone());
                }
            }
        }
    ),
    rule!(
        "textile-on-textile",
        Caution,
        "a textile girth-hitched to a textile",
        "it saws, and keeps little more than half",
        "a ring or a shackle between",
        PRACTICE,
        |c, r| {
            for (i, run, k, part, item) in c.parts() {
                if !item.class.is_soft() || part.hitch != Hitch::Girth {
                    continue;
                }
                let (ends, _) = neighbours(c.plan, c.catalogue, i, k);
                if let Some(n) = ends.iter().find(|n| n.soft) {
                    r.say(at_part(run, k), format!("{} hitched to {}", item.title, n.name));
                }
            }
        }
    ),
    rule!(
        "tight-bend",
        Caution,
        "HMPE rope over a seat of less than twice its own thickness, without a thimble",
        "a tight bend costs a single strand 15 to 40 % (an eye has two), and wears",
        "a thimble, or a thicker pin",
        PRACTICE,
        |c, r| {
            for (i, run, k, part, item) in c.parts() {
                let Some(d) = item
                    .diameter
                    .map(Quantity::si)
                    .filter(|_| item.fibre == Fibre::Hmpe && item.class == ItemClass::HollowBraid)
                else {
                    continue;
                };
                let (ends, over) = neighbours(c.plan, c.catalogue, i, k);
                for (e, n) in ends.iter().enumerate() {
                    let thimble =
                        part.ends.as_ref().is_some_and(|x| matches!(x[e].kind, EndKind::Spliced { thimble: true, .. }));
                    if let Some(seat) = n.diameter_m.filter(|s| !thimble && s / d < 1.99) {
                        r.say(at_part(run, k), format!("on {}: D/d = {:.1}", n.name, seat / d));
                    }
                }
                for n in over {
                    if let Some(seat) = n.diameter_m.filter(|s| s / d < 1.99) {
                        r.say(at_part(run, k), format!("over {}: D/d = {:.1}", n.name, seat / d));
                    }
                }
            }
        }
    ),
    rule!(
        "knotted-hmpe",
        Stop,
        "a knot in HMPE",
        "it keeps a third, and slips before that",
        "splice it",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                for e in part.ends.iter().flatten() {
                    if let EndKind::Knotted(knot) = &e.kind
                        && item.fibre == Fibre::Hmpe
                        && item.class.is_soft()
                    {
                        r.say(at_part(run, k), format!("{knot} in {}", item.title));
                    }
                }
            }
        }
    ),
    rule!(
        "adjustable-bury",
        Caution,
        "an adjustable bury in an anchor leg",
        "a bury holds only while its cover is under tension",
        "lock it, or splice it fixed; never a single adjustable loop",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                if part
                    .ends
                    .iter()
                    .flatten()
                    .any(|e| matches!(e.kind, EndKind::Spliced { style: SpliceStyle::Adjustable, .. }))
                {
                    r.say(at_part(run, k), format!("adjustable {}", item.title));
                }
            }
        }
    ),
    rule!(
        "short-bury",
        Stop,
        "a bury under 60 diameters, or without taper or stitching",
        "it pulls out, or breaks where the tail ends",
        "72 diameters, tapered over its last third, lock-stitched",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                let Some(d) = item.diameter.map(Quantity::si) else {
                    continue;
                };
                for (i, e) in part.ends.iter().flatten().enumerate() {
                    let EndKind::Spliced { bury, tapered, stitched, style, .. } = &e.kind else {
                        continue;
                    };
                    if *style == SpliceStyle::Tucked {
                        continue;
                    }
                    let which = if i == 0 { "first" } else { "second" };
                    let ratio = bury.map_or(FULL_BURY, |b| b.si() / d);
                    if ratio < LEAST_BURY {
                        r.say(at_part(run, k), format!("the bury at its {which} end is {ratio:.0} diameters"));
                    } else if !tapered {
                        r.say(at_part(run, k), format!("the bury at its {which} end is not tapered"));
                    } else if !stitched {
                        r.say(at_part(run, k), format!("the bury at its {which} end is not stitched"));
                    }
                }
            }
        }
    ),
    rule!(
        "wet-nylon",
        Note,
        "a nylon part that is not counted as wet",
        "wet nylon holds 10 to 20 % less, and is longer",
        "count it wet (condition), or keep it dry",
        "common practice; wet nylon loses 5 to 25 % in a knot handbook",
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                if item.fibre == Fibre::Nylon && item.class.is_soft() && !part.condition.wet {
                    r.say(at_part(run, k), "nylon, not counted as wet");
                }
            }
        }
    ),
    rule!(
        "hot-hmpe",
        Caution,
        "HMPE in more than 50 °C",
        "it creeps faster with every degree and weakens for good from about 65 °C",
        "shade it; not in the boot of a car",
        PRACTICE,
        |c, r| {
            let warmest = c.plan.site.air.warmest.si() - 273.15;
            for (_, run, k, _, item) in c.parts() {
                if item.fibre == Fibre::Hmpe && item.class.is_soft() && warmest > 50.0 {
                    r.say(at_part(run, k), format!("{} in {warmest:.0} °C", item.title));
                }
            }
        }
    ),
    rule!(
        "hmpe-creep",
        Caution,
        "HMPE standing at more than a fifth of its strength",
        "it creeps, and in the end breaks by creep",
        "thicker rope, or less tension",
        PRACTICE,
        |c, r| {
            let Some(standing) = c.cases.iter().find(|s| s.case.id == "standing") else {
                return;
            };
            for (i, run, k, _, item) in c.parts() {
                if item.fibre == Fibre::Hmpe
                    && item.class.is_soft()
                    && let Some(n) = item.strength_n().filter(|n| standing.response.run_n[i] > 0.2 * n)
                {
                    r.say(at_part(run, k), format!("stands at {} of {}", kn(standing.response.run_n[i]), kn(n)));
                }
            }
        }
    ),
    rule!(
        "end-not-stated",
        Caution,
        "how an end is made is not stated",
        "the worst knot is counted",
        "state it",
        PRACTICE,
        |c, r| {
            for (i, run, k, _, _) in c.parts() {
                if c.strengths[i][k].as_ref().is_some_and(|s| s.doubts.iter().any(|d| d.contains("not stated"))) {
                    r.say(at_part(run, k), "how its ends are made is not stated");
                }
            }
        }
    ),
    rule!(
        "stretch-assumed",
        Note,
        "an item has no stretch of its own",
        "how legs share depends on it",
        "give the item its stretch",
        PRACTICE,
        |c, r| {
            let mut seen = BTreeSet::new();
            for (_, run, k, _, item) in c.parts() {
                if !item.has_own_law() && seen.insert(item.id.clone()) {
                    r.say(at_part(run, k), format!("{}: stretch taken from its fibre and rating", item.title));
                }
            }
        }
    ),
    rule!(
        "mass-assumed",
        Note,
        "the line's item has no mass",
        "sag and tension follow from it",
        "give the item its mass per length",
        PRACTICE,
        |c, r| {
            if let Some(item) = c.main_item().filter(|i| i.mass_per_length.is_none() && i.mass.is_none()) {
                r.say("", format!("{}: 80 g/m taken", item.title));
            }
        }
    ),
    rule!(
        "doubtful-rating",
        Note,
        "a rating is typical, average, judged or from few tests",
        "it is not the maker's word on this piece",
        "read the label and put it into the plan's items",
        PRACTICE,
        |c, r| {
            let mut by: BTreeMap<String, (String, usize, String)> = BTreeMap::new();
            for row in c.rows {
                if let Some(d) = row.strength.doubts.first().filter(|_| row.strength.rated) {
                    by.entry(row.title.clone()).or_insert_with(|| (row.place.to_string(), 0, d.clone())).1 += 1;
                }
            }
            for (title, (at, n, doubt)) in by {
                r.say(at, if n > 1 { format!("{title}: {doubt} ({n} places)") } else { format!("{title}: {doubt}") });
            }
        }
    ),
    rule!(
        "unrated",
        Caution,
        "a piece has no rating",
        "nothing can be said of it",
        "rate it, or judge it and say why",
        PRACTICE,
        |c, r| {
            for row in
                c.rows.iter().filter(|row| !row.strength.rated && row.class == crate::review::case::Class::Working)
            {
                r.say(row.place.to_string(), row.strength.spot.clone());
            }
        }
    ),
];
