//! The usual cautions, as short sentences for sewing sheets, templates, reports and the page.
//!
//! They are reminders, not instructions: the machine's manual and the batting's label overrule them, and the first
//! sentence says so. Usual cautions as published [156] [159] [160] [161] and common practice.

/// Cautions for one moment of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cautions {
    /// When they are for.
    pub when: &'static str,
    /// Whole sentences.
    pub sentences: &'static [&'static str],
}

/// What overrules this program.
pub const OVERRULED: &str = "Your machine's manual and the batting's label overrule everything printed here.";

/// All cautions, in the order of the work.
pub const CAUTIONS: [Cautions; 3] = [
    Cautions {
        when: "Before sewing",
        sentences: &[
            OVERRULED,
            "Put in a fresh needle of the size that suits the thread and the layers.",
            "Try the design on a sample of the same three layers first.",
            "Tell the machine which hoop is really on it.",
            "Trace the design's edges before the first stitch: a needle that strikes the hoop breaks.",
            "Take out every pin, and take the paper template off the fabric.",
            "Press heat-erasable and washable marks only after testing them on a scrap.",
        ],
    },
    Cautions {
        when: "While sewing",
        sentences: &[
            "Keep hands, hair and loose sleeves clear of the needle; glasses guard the eyes from a broken one.",
            "Stay at the machine, and stop it at any strange noise.",
            "Hold up the quilt's whole weight on a table, so that it cannot drag on the hoop.",
            "Slow down over thick seams.",
            "Do not sew the design a second time over itself: every line is already three threads thick.",
        ],
    },
    Cautions {
        when: "With basting spray",
        sentences: &[
            "Spray outdoors or at an open window, away from flames and from the machine.",
            "Follow the can's label; overspray gums needle and foot.",
        ],
    },
];

/// The cautions for a template, which is short of room; the sewing sheet and the report have them all.
pub const ON_TEMPLATE: [&str; 5] = [
    "Take the template and every pin off the fabric before sewing.",
    "Trace the design's edges before the first stitch: a needle that strikes the hoop breaks.",
    "Keep hands and hair clear of the needle, and stay at the machine.",
    "Hold up the quilt's weight, so that it cannot drag on the hoop.",
    OVERRULED,
];

/// Every sentence, in order.
pub fn sentences() -> impl Iterator<Item = &'static str> {
    CAUTIONS.iter().flat_map(|c| c.sentences.iter().copied())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_manual_and_the_label_come_first() {
        assert_eq!(sentences().next(), Some(OVERRULED));
    }

    #[test]
    fn cautions_are_short_whole_sentences() {
        for sentence in sentences().chain(ON_TEMPLATE) {
            let capital = sentence.chars().next().is_some_and(char::is_uppercase);
            assert!(capital && sentence.ends_with('.'), "{sentence}");
            assert!(sentence.len() <= 140 && !sentence.contains("  "), "{sentence}");
        }
    }

    #[test]
    fn each_promised_caution_is_there() {
        let all = sentences().collect::<Vec<_>>().join(" ").to_lowercase();
        for word in
            ["hands", "hair", "trace", "weight", "stay at", "fresh needle", "sample", "spray", "manual"]
        {
            assert!(all.contains(word), "{word}");
        }
    }
}
