//! What goes into which bag.

/// A bag of each piece: none over `limit_kg` but those that hold one piece alone. The heaviest go first, each into the
/// first bag that has room for it.
#[must_use]
pub(super) fn pack(masses_kg: &[f64], limit_kg: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..masses_kg.len()).collect();
    order.sort_by(|a, b| masses_kg[*b].total_cmp(&masses_kg[*a]));
    let mut bags: Vec<f64> = Vec::new();
    let mut out = vec![0; masses_kg.len()];
    for k in order {
        let bag = bags.iter().position(|b| b + masses_kg[k] <= limit_kg).unwrap_or_else(|| {
            bags.push(0.0);
            bags.len() - 1
        });
        bags[bag] += masses_kg[k];
        out[k] = bag;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::pack;

    #[test]
    fn no_bag_is_over_its_limit() {
        // Sums to the limit go together; what is over it by itself has a bag of its own.
        assert_eq!(pack(&[12.0, 8.0, 5.0, 15.0], 20.0), [1, 1, 0, 0]);
        assert_eq!(pack(&[27.0, 1.0], 20.0), [0, 1]);
        assert_eq!(pack(&[], 20.0), [0_usize; 0]);
        let masses: Vec<f64> = (1..40).map(|k| f64::from(k * 7 % 11) + 0.5).collect();
        let bags = pack(&masses, 20.0);
        for bag in 0..=*bags.iter().max().expect("bags") {
            let mass: f64 = masses.iter().zip(&bags).filter(|m| *m.1 == bag).map(|m| m.0).sum();
            assert!(mass > 0.0 && mass <= 20.0, "bag {bag}: {mass}");
        }
        let least = (masses.iter().sum::<f64>() / 20.0).ceil() as usize;
        assert!(bags.iter().max().expect("bags") < &(least + 1), "{least} bags would do");
    }
}
