//! Rules about what each piece of gear is made for.

use super::{
    BTreeMap, BTreeSet, Catalogue, EndKind, FULL_BURY, Fibre, Gravity, Hitch, Item, ItemClass, LEAST_BURY, PRACTICE,
    PartLength, Quantity, Rule, SpliceStyle, at_part, kn, neighbours, rule,
};
use crate::bench::{Hand, legs_differ_by};
use crate::catalogue::Rating;
use crate::mechanics::G;
use crate::review::Weak;
use crate::units::mm;

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
                        format!("{} in {}, working load limit {}", kn(row.demand_n), row.case(), kn(wll)),
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
            for row in c.rows.iter().filter(|row| row.strength.weak == Weak::ThreeWays) {
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
            for row in c.rows.iter().filter(|row| row.strength.weak == Weak::WideBow) {
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
                    // Two ends in each other sit on nothing.
                    let joined = part
                        .ends
                        .as_ref()
                        .is_some_and(|x| matches!(x[e].kind, EndKind::Spliced { style: SpliceStyle::EndForEnd, .. }));
                    if let Some(seat) = n.diameter_m.filter(|s| !thimble && !joined && s / d < 1.99) {
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
    Rule {
        id: "adjustable-bury",
        gravity: Gravity::Stop,
        when: "an adjustable loop in an anchor, and “adjustable locked” is not declared; one with a fixed eye is a caution",
        why: "a bury holds only while its cover is under tension: a single adjustable loop can let go",
        remedy: "lock it with a stopper or a stitch, or splice it fixed; never a single adjustable loop",
        source: PRACTICE,
        key: Some("adjustable locked"),
        check: |c, r| {
            if matches!(c.plan.declared.get("adjustable locked"), Some(super::Declared::Yes(_))) {
                return;
            }
            for (i, run, k, part, item) in c.parts() {
                let slides =
                    |e: &&crate::plan::End| matches!(e.kind, EndKind::Spliced { style: SpliceStyle::Adjustable, .. });
                let sliding = part.ends.iter().flatten().filter(slides).count();
                // A loop that closes on itself, or slides at both ends, can be pushed open; one with a fixed eye at its
                // other end pulls its cover tight.
                let closed = c.plan.runs.get_index(i).is_some_and(|(_, r)| r.closed);
                let said = format!("adjustable {}", item.title);
                match sliding {
                    0 => {}
                    1 if !closed => r.caution(at_part(run, k), said),
                    _ => r.say(at_part(run, k), said),
                }
            }
        },
    },
    rule!(
        "heat-damaged",
        Stop,
        "a rope of HMPE that heat has taken something from; another fibre is a caution",
        "what is glazed or stiff has melted in places: what is left of it is not known by looking",
        "cut it out, or retire it",
        "common practice, no source",
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                if !item.class.is_soft() || part.condition.heat >= 1.0 {
                    continue;
                }
                let said = format!("{}: heat has left {:.0} % of it", item.title, 100.0 * part.condition.heat);
                if item.fibre == Fibre::Hmpe {
                    r.say(at_part(run, k), said);
                } else {
                    r.caution(at_part(run, k), said);
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
            let Some(standing) = c.standing() else {
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
                if c.strengths[i][k].as_ref().is_some_and(|s| s.end_not_stated) {
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
        "label-is-average",
        Caution,
        "a label's strength that is, to a hundredth, the catalogue's average break of that size",
        "an average is no minimum: half of all pieces break below it",
        "read the label again; an average is written Average(…)",
        "the catalogue's own figures",
        |c, r| {
            for (id, item) in &c.plan.items {
                let Some(Rating::Label(label)) = &item.rating else { continue };
                let alike = |i: &Item| {
                    i.class == item.class
                        && i.fibre == item.fibre
                        && i.diameter == item.diameter
                        && i.width == item.width
                };
                let averages = Catalogue::builtin().iter().filter(|(_, i)| alike(i)).filter_map(|(_, i)| i.average);
                if let Some(mean) = averages.map(Quantity::si).find(|mean| (label.si() - mean).abs() < 0.01 * mean) {
                    r.say(
                        id.clone(),
                        format!(
                            "{}: label {}, the average break of its size is {}",
                            item.title,
                            kn(label.si()),
                            kn(mean)
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "sling-marking",
        Stop,
        "a sling whose colour or tag stands for another working load limit than its rating",
        "one of the two is of another sling",
        "look at the sling's tag, and name the item that it is",
        "EN 1492-1 and EN 1492-2: colours by working load limit",
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                let colour_n = part.colour.map(|c| (c.word().to_lowercase(), c.limit_t() * 1000.0 * G));
                let tag_n = part.tag.map(|t| ("tag".to_owned(), t.si()));
                for (what, marked) in colour_n.into_iter().chain(tag_n) {
                    match item.wll_n() {
                        Some(limit) if (limit - marked).abs() <= 0.05 * marked => {}
                        Some(limit) => r.say(
                            at_part(run, k),
                            format!("{what} stands for {}, {} for {}", kn(marked), item.title, kn(limit)),
                        ),
                        None => r.say(
                            at_part(run, k),
                            format!("{what} stands for {}, {} has no limit", kn(marked), item.title),
                        ),
                    }
                }
            }
        }
    ),
    rule!(
        "side-loaded",
        Caution,
        "a shackle, link or connector pulled more than 10° off the axis it is made for",
        "it keeps a half to two thirds, and wears where it is not meant to",
        "turn it, or lead the pull in its own line",
        "bands of WAC 296-155-33905 for shackles; common practice",
        |c, r| {
            for (_, run, k, part, item) in c.parts().filter(|p| !p.4.class.is_soft()) {
                let angle = part.off_axis.map_or(0.0, |a| a.si().to_degrees().abs());
                if angle > 10.0 {
                    r.say(at_part(run, k), format!("{} pulled {angle:.0}° off its axis", item.title));
                }
            }
        }
    ),
    rule!(
        "too-short-to-make",
        Stop,
        "a spliced part that cannot be made to its length",
        "buries that do not fit are shorter than they must be, or not there",
        "the length that works, or other gear, as said",
        "geometry of the splice; common practice, no source",
        |c, r| {
            for s in c.spliced {
                if let Err(why) = &s.design {
                    r.say(at_part(&c.rig.run_names[s.run], s.part), why.to_string());
                }
            }
        }
    ),
    rule!(
        "closer-than-made",
        Caution,
        "a leg whose tolerance is less than two spliced legs of one batch differ by",
        "a tolerance that no bench keeps hides how unevenly the legs share",
        "measure each leg once it is set and write its length into the plan; or adjust one leg by hand; or a wider tolerance",
        "setting leaves 1 % of the difference in length, and each mark 2 mm: common practice, no source",
        |c, r| {
            for (point, legs) in &c.anchors {
                // What is spliced of each leg, how long it is, and how close it is to be made where the plan says.
                let of = |k: &usize| {
                    let leg = &c.rig.legs[*k];
                    let s = c.spliced.iter().find(|s| s.run == leg.run).filter(|_| leg.share.is_none())?;
                    let part = c.plan.runs.get_index(leg.run)?.1.parts.get(s.part)?;
                    let stated = match part.length {
                        PartLength::Fit(t) => t.or(part.tolerance),
                        _ => part.tolerance,
                    };
                    Some((leg, s.design.as_ref().ok()?.finished_m, stated.map(Quantity::si)))
                };
                let made: Vec<_> = legs.iter().filter_map(of).collect();
                let differ = legs_differ_by(&made.iter().map(|m| m.1).collect::<Vec<_>>(), &Hand::default());
                for (leg, stated) in made.iter().filter_map(|m| Some((m.0, m.2?))).filter(|m| m.1 < differ - 1e-4) {
                    r.say(
                        c.rig.run_names[leg.run].clone(),
                        format!(
                            "its length is to be kept within {}; two legs at {} spliced alike differ by {}",
                            mm(stated),
                            c.rig.spots[*point].name,
                            mm(differ)
                        ),
                    );
                }
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
            for row in c.rows.iter().filter(|row| {
                !row.is_height() && !row.strength.rated && row.class == crate::review::case::Class::Working
            }) {
                r.say(row.place.to_string(), row.strength.spot.clone());
            }
        }
    ),
    rule!(
        "connector-in-line",
        Caution,
        "a connector with a gate in the line, at a master or in a leg",
        "its gate side and its short axis hold a third; it turns under a load that swings",
        "a shackle, a screwed link, a soft shackle",
        "EN 12275 rates the short axis at 7 kN; common practice",
        |c, r| {
            for (_, run, k, _, item) in c.parts().filter(|p| p.4.class == ItemClass::Connector) {
                r.say(at_part(run, k), format!("{} carries the line", item.title));
            }
            for (name, p) in &c.plan.points {
                let item = p.hardware.as_ref().and_then(|h| c.item(h));
                if let Some(item) = item.filter(|i| i.class == ItemClass::Connector) {
                    r.say(name.clone(), format!("{} gathers what meets there", item.title));
                }
            }
        }
    ),
    rule!(
        "tensioner-in-line",
        Stop,
        "a ratchet or a webbing grip as a lasting part of the rig",
        "a ratchet can open under load, a grip holds for pulling only",
        "a webbing lock; take the tensioner out once it holds",
        PRACTICE,
        |c, r| {
            for (_, run, k, _, item) in c.parts() {
                if matches!(item.class, ItemClass::Ratchet | ItemClass::Grip) {
                    r.say(at_part(run, k), item.title.clone());
                }
            }
        }
    ),
    rule!(
        "toothed-grip",
        Caution,
        "a grip that holds more than 4 kN and has teeth, or of which that is not said",
        "teeth cut the sheath at 4 to 6 kN",
        "a smooth grip, or a friction hitch behind it; say `toothed: false` of a smooth one",
        PRACTICE,
        |c, r| {
            for row in c.rows.iter().filter(|r| r.demand_n > 4e3) {
                let Some(item) = c.item(&row.item).filter(|i| i.class == ItemClass::Grip) else { continue };
                let teeth = match item.toothed {
                    Some(true) => "",
                    Some(false) => continue,
                    None => ", and whether it has teeth is not said",
                };
                let text = format!("{} holds {} in {}{teeth}", row.title, kn(row.demand_n), row.case());
                r.say(row.place.to_string(), text);
            }
        }
    ),
    rule!(
        "odd-figure",
        Caution,
        "a strength or mass of the plan's own item far from everything of its kind; a stop where it hangs in the rig, more than twice as strong as any",
        "a limit taken for a breaking strength, kilograms for kilonewtons, a slipped point: a false margin",
        "read the label again; write the limit as Limit(…) or `wll`",
        "against the catalogue's own range for the class, by thickness where it has one; common practice",
        |c, r| {
            for (id, item) in &c.plan.items {
                let alike = || {
                    let kin = Catalogue::builtin().iter().map(|(_, i)| i);
                    kin.filter(|i| i.class == item.class && (!item.class.is_cut() || i.fibre == item.fibre))
                };
                let mut odd =
                    |what: &str, text: String, own: Option<f64>, of: &dyn Fn(&Item) -> Option<f64>, by: f64| {
                        let range = alike()
                            .filter_map(|i| of(i))
                            .fold((f64::INFINITY, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
                        if let Some(x) = own.filter(|x| range.1 > 0.0 && (*x < range.0 / by || *x > by * range.1)) {
                            let times = if x < range.0 { range.0 / x } else { x / range.1 };
                            let way = if x < range.0 { "below the least" } else { "above the largest" };
                            let at: Vec<String> =
                                c.rows.iter().filter(|r| r.item == *id).map(|r| r.place.to_string()).collect();
                            let hangs = at.first().map_or(String::new(), |p| format!("; it hangs at {p}"));
                            let said =
                                format!("{}: {what} {text}, {times:.1} times {way} of its kind{hangs}", item.title);
                            // Every factor of the piece stands on it.
                            if what == "strength" && x > 2.0 * range.1 && !at.is_empty() {
                                r.stop(id.clone(), said);
                            } else {
                                r.say(id.clone(), said);
                            }
                        }
                    };
                // By cross-section where there is one: a thick rope may well be stronger than any in the catalogue.
                let section = |i: &Item| {
                    let d = i.diameter.map(Quantity::si).filter(|_| i.class.is_cut());
                    let d = d.or_else(|| i.pin.map(Quantity::si).filter(|_| i.class == ItemClass::Shackle));
                    d.map(|d| d * d).or_else(|| i.width.map(Quantity::si).filter(|_| i.class == ItemClass::Webbing))
                };
                let of_strength = |i: &Item| {
                    let n = i.strength_n().or_else(|| i.radial.as_ref().and_then(Rating::minimum_n))?;
                    Some(n / if section(item).is_some() { section(i)? } else { 1.0 })
                };
                let radial = item.radial.as_ref().and_then(Rating::minimum_n);
                let n = item.strength_n().or(radial).unwrap_or(0.0);
                let by = if section(item).is_some() { 1.6 } else { 2.5 };
                odd("strength", kn(n), of_strength(item), &of_strength, by);
                let of_mass = |i: &Item| {
                    let kg_m = i.mass_per_length.map(Quantity::si)?;
                    Some(kg_m / if section(item).is_some() { section(i)? } else { 1.0 })
                };
                let kg_m = item.mass_per_length.map_or(0.0, Quantity::si);
                odd("mass", format!("{:.0} g/m", 1e3 * kg_m), of_mass(item), &of_mass, 2.0);
            }
        }
    ),
    // Said when the plan is held against an inventory on a day: the review itself knows neither.
    rule!(
        "gear-unfit",
        Stop,
        "gear of the plan that the rigger's inventory has only worn, overdue for a look, or past its day",
        "what is retired is retired because it may not hold",
        "other pieces, or look them over and note it in the inventory",
        PRACTICE,
        |_, _| {}
    ),
    rule!(
        "past-its-days",
        Stop,
        "a piece that has had the days, years or falls that it is given; near that, or not known, a caution",
        "sun and load age fibres where nobody sees it",
        "another piece; retire this one in the inventory",
        "International Slackline Association's guidance on webbing, 2022; slings and leashes common practice, no source",
        |_, _| {}
    ),
    rule!(
        "gear-short",
        Note,
        "gear of the plan that the rigger's inventory has too few of",
        "what is missing at the edge is improvised",
        "borrow, buy, or change the plan",
        PRACTICE,
        |_, _| {}
    ),
];
