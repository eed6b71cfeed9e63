//! Finding a line by some of its letters: exact words come before words that only hold them, and those before
//! scattered letters.

use nucleo_matcher::pattern::{CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};

use super::state::Choice;

/// How well a line fits: a class, and within it a score; smaller is better.
type Rank = (u8, i64);

/// The rows that fit what was typed, best first; all of them when nothing was.
pub(super) fn ranked<'a>(typed: &str, rows: &'a [Choice]) -> Vec<&'a Choice> {
    let words: Vec<String> = typed.to_lowercase().split_whitespace().map(str::to_owned).collect();
    if words.is_empty() {
        return rows.iter().collect();
    }
    let mut matcher = Matcher::new(Config::DEFAULT);
    let pattern = Pattern::parse(&escaped(typed), CaseMatching::Ignore, Normalization::Smart);
    let mut out: Vec<(Rank, &Choice)> =
        rows.iter().filter_map(|r| Some((rank(&words, &pattern, &mut matcher, r)?, r))).collect();
    // Sorting keeps the order of what fits equally well.
    out.sort_by_key(|(rank, _)| *rank);
    out.into_iter().map(|(_, r)| r).collect()
}

/// What was typed is letters to look for, not a pattern language.
fn escaped(typed: &str) -> String {
    typed.chars().filter(|c| !matches!(c, '^' | '$' | '!' | '\'' | '\\')).collect()
}

fn rank(words: &[String], pattern: &Pattern, matcher: &mut Matcher, row: &Choice) -> Option<Rank> {
    let name = row.name.to_lowercase();
    let whole = format!("{name} {} {}", row.beside.join(" ").to_lowercase(), row.words.to_lowercase());
    let parts = |text: &str| {
        let own: Vec<String> = text.split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect();
        words.iter().all(|w| own.contains(w))
    };
    let holds = |text: &str| words.iter().all(|w| text.contains(w.as_str()));
    let class = if words.join(" ") == name {
        0
    } else if parts(&name) {
        1
    } else if holds(&name) {
        2
    } else if parts(&whole) {
        3
    } else if holds(&whole) {
        4
    } else {
        5
    };
    let mut buffer = Vec::new();
    // Scattered letters count in the name alone: a sentence has letters for everything.
    let score = pattern.score(Utf32Str::new(&row.name, &mut buffer), matcher);
    match (class, score) {
        (5, None) => None,
        (c, score) => Some((c, -i64::from(score.unwrap_or(0)))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(typed: &str) -> Vec<String> {
        let rows: Vec<Choice> = [
            ("bow-shackle-3t", "three tonnes"),
            ("webbing-lock", "a lock for webbing"),
            ("webbing-polyester-25", "flat"),
            ("wide-bow", "its own"),
            ("master-ring", "for anchors, beside a shackle"),
            ("bow", "alone"),
        ]
        .map(|(n, w)| Choice::named(n, w))
        .to_vec();
        ranked(typed, &rows).into_iter().map(|c| c.name.clone()).collect()
    }

    #[test]
    fn the_best_comes_first() {
        assert_eq!(found("").len(), 6);
        assert_eq!(found("bow"), ["bow", "bow-shackle-3t", "wide-bow"]);
        assert_eq!(found("shackle"), ["bow-shackle-3t", "master-ring"]);
        assert_eq!(found("poly web"), ["webbing-polyester-25"]);
        assert_eq!(found("wp25"), ["webbing-polyester-25"]);
        assert_eq!(found("BOW 3T"), ["bow-shackle-3t"]);
        // The words themselves before letters strewn over a longer name.
        assert_eq!(found("lock")[0], "webbing-lock");
        assert_eq!(found("zzz"), Vec::<String>::new());
        assert_eq!(found("^$!'"), found(""), "signs are no pattern language");
    }
}
