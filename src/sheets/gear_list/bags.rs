//! What goes into which bag.

use indexmap::IndexMap;

/// A bag of each piece, alike pieces in one: no bag is over `limit_kg` but those that hold one piece alone. What is heaviest
/// together goes first, each into the first bag that has room for it; alike pieces that are more than a bag are parted.
#[must_use]
pub(super) fn pack(pieces: &[(usize, f64)], limit_kg: f64) -> Vec<usize> {
    let mut alike: IndexMap<usize, Vec<usize>> = IndexMap::new();
    for (k, (kind, _)) in pieces.iter().enumerate() {
        alike.entry(*kind).or_default().push(k);
    }
    let mass = |of: &[usize]| of.iter().map(|k| pieces[*k].1).sum::<f64>();
    let mut together: Vec<Vec<usize>> = Vec::new();
    for kind in alike.into_values() {
        if mass(&kind) <= limit_kg {
            together.push(kind);
            continue;
        }
        let mut one: Vec<usize> = Vec::new();
        for k in kind {
            if !one.is_empty() && mass(&one) + pieces[k].1 > limit_kg {
                together.push(std::mem::take(&mut one));
            }
            one.push(k);
        }
        together.push(one);
    }
    together.sort_by(|a, b| mass(b).total_cmp(&mass(a)));
    let mut bags: Vec<f64> = Vec::new();
    let mut out = vec![0; pieces.len()];
    for of in together {
        let kg = mass(&of);
        let bag = bags.iter().position(|b| b + kg <= limit_kg).unwrap_or_else(|| {
            bags.push(0.0);
            bags.len() - 1
        });
        bags[bag] += kg;
        for k in of {
            out[k] = bag;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::pack;

    #[test]
    fn no_bag_is_over_its_limit_and_alike_go_together() {
        let each = |masses: &[f64]| masses.iter().copied().enumerate().collect::<Vec<_>>();
        // Sums to the limit go together; what is over it by itself has a bag of its own.
        assert_eq!(pack(&each(&[12.0, 8.0, 5.0, 15.0]), 20.0), [1, 1, 0, 0]);
        assert_eq!(pack(&each(&[27.0, 1.0]), 20.0), [0, 1]);
        assert_eq!(pack(&[], 20.0), [0_usize; 0]);
        // Three alike of 9 kg are more than a bag: two and one; the four of 2 kg stay together beside the one.
        let pieces: Vec<(usize, f64)> = [9.0; 3].into_iter().map(|m| (0, m)).chain([2.0; 4].map(|m| (1, m))).collect();
        let bags = pack(&pieces, 20.0);
        assert_eq!(bags, [0, 0, 1, 1, 1, 1, 1]);
        let masses: Vec<(usize, f64)> = (1..40).map(|k| (k / 3, f64::from((k * 7 % 11) as u8) + 0.5)).collect();
        let bags = pack(&masses, 20.0);
        for bag in 0..=*bags.iter().max().expect("bags") {
            let mass: f64 = masses.iter().zip(&bags).filter(|m| *m.1 == bag).map(|m| m.0.1).sum();
            assert!(mass > 0.0 && mass <= 20.0, "bag {bag}: {mass}");
        }
        for kind in 0..=13 {
            let of: Vec<usize> = (0..masses.len()).filter(|k| masses[*k].0 == kind).collect();
            let whole: f64 = of.iter().map(|k| masses[*k].1).sum();
            assert!(whole > 20.0 || of.iter().all(|k| bags[*k] == bags[of[0]]), "kind {kind} is parted");
        }
    }
}
