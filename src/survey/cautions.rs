//! The usual cautions, as short sentences for sewing sheets, templates, reports and the page.
//!
//! They are reminders, not instructions: the machine's manual and the batting's label overrule them, and the first
//! sentence says so. Usual cautions as published ([23] and [160] first, then [156] [159]
//! [161]; spray [165] [166]; marks [89]) and common practice.

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
            "Switch the machine off before you change the needle, thread it or reach into the hoop.",
            "Put in a fresh needle of the size that suits the thread and the layers.",
            "Try the design on a sample of the same three layers first.",
            "If it does not fit, make it for a smaller block or a larger hoop; do not resize it at the machine.",
            "Keep your fingers from between the rings: the hoop pinches as it closes.",
            "Tell the machine which hoop is really on it.",
            "Take out every pin, and take the paper template off the fabric.",
            "Trace the design's edges with the needle up: a needle that strikes the hoop breaks.",
        ],
    },
    Cautions {
        when: "While sewing",
        sentences: &[
            "Keep hands, hair and loose sleeves clear of the needle; glasses guard the eyes from a broken one.",
            "Hold thread ends with your fingers outside the hoop; stop the machine to trim the tails.",
            "Stay at the machine, and stop it at any strange noise.",
            "Keep children and pets away from the machine.",
            "Hold up the quilt's whole weight on a table, so that it cannot drag on the hoop.",
            "Slow down over thick seams.",
            "Do not sew the design a second time over itself: every line is already three threads thick.",
        ],
    },
    Cautions {
        when: "With blade, iron and spray",
        sentences: &[
            "Close the rotary cutter after every cut; keep blades, pins and needles from children.",
            "Mind the hot iron, its steam and its cord.",
            "Test marking pens on a scrap first; wash marks out before ironing, since heat can set them.",
            "Do not breathe basting spray: use it outdoors or at an open window, and follow its label.",
            "No flame, no hot iron and no running machine near the spray; overspray gums needle and foot.",
        ],
    },
];

/// The cautions for a template, which is short of room; the sewing sheet and the report have them all.
pub const ON_TEMPLATE: [&str; 6] = [
    "Take the template and every pin off the fabric before sewing.",
    "Trace the design's edges with the needle up: a needle that strikes the hoop breaks.",
    "Switch the machine off before you reach into the hoop.",
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
        for word in [
            "hands",
            "hair",
            "trace",
            "needle up",
            "weight",
            "stay at",
            "fresh needle",
            "sample",
            "spray",
            "manual",
            "switch the machine off",
            "fingers outside the hoop",
            "trim the tails",
            "hot iron",
            "before ironing",
            "breathe",
            "children and pets",
            "blades",
            "pinches",
            "smaller block",
        ] {
            assert!(all.contains(word), "{word}");
        }
    }

    #[test]
    fn resizing_at_the_machine_is_only_warned_of() {
        for sentence in sentences().chain(ON_TEMPLATE).filter(|s| s.contains("resize")) {
            assert!(sentence.contains("do not resize it at the machine"), "{sentence}");
        }
    }
}
