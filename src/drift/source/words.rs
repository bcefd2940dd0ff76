/*! What is to be said of readings that were moved for their source. */

use crate::records::{Given, SourceLine, Warning, named};
use crate::words::{count, figure};

/// What was moved, class by class.
pub(crate) fn warnings(given: &Given) -> Vec<Warning> {
    let moved = given.lines.iter().filter(|line| line.moved > 0);
    let words = |line: &SourceLine| {
        let one = line.moved == 1;
        let between = match line.between > 0.0 {
            true => format!(
                "; sources differ by {} (standard deviation), by which every true error may be off",
                figure(line.between, &line.unit)
            ),
            false => String::new(),
        };
        let words = format!(
            "{} of source {} {} brought to the level of later sources of {}: its offset from their mean is {}, standard uncertainty {}{between}",
            count(line.moved, "reading"),
            named(&line.source),
            if one { "is" } else { "are" },
            if one { "its item" } else { "their items" },
            figure(line.offset, &line.unit),
            figure(line.u_offset, &line.unit),
        );
        Warning::new(line.group.as_str(), words)
    };
    moved.map(words).collect()
}
