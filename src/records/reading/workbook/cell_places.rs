/*! Cells of a sheet that something is to be said of, by their names. */

/// The first cells of a kind, and how many there are.
#[derive(Default)]
pub(super) struct Places {
    first: Vec<String>,
    count: usize,
}

/// Cells that are named.
const NAMED: usize = 5;

impl Places {
    /// Adds a cell; `what` stands in it, where that is to be named.
    pub(super) fn add(&mut self, row: u32, column: u32, what: &str) {
        self.count += 1;
        if self.first.len() < NAMED {
            let behind = if what.is_empty() {
                String::new()
            } else {
                format!(" ({what})")
            };
            self.first.push(format!("{}{behind}", name(row, column)));
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// How many there are in words, and the first of them; `None` where there is none.
    pub(super) fn told(&self, one: &str, many: &str) -> Option<(String, String)> {
        let cells = match self.count {
            0 => return None,
            1 => format!("1 cell {one}"),
            n => format!("{n} cells {many}"),
        };
        let more = match self.count - self.first.len() {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        Some((cells, format!("{}{more}", self.first.join(", "))))
    }
}

/// A cell's name, such as C7; both numbers count from 0.
fn name(row: u32, mut column: u32) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (column % 26) as u8));
        if column < 26 {
            break;
        }
        column = column / 26 - 1;
    }
    let letters: String = letters.iter().rev().collect();
    format!("{letters}{}", row + 1)
}

#[cfg(test)]
mod tests {
    use super::name;

    #[test]
    fn cells_have_the_names_that_a_spreadsheet_gives_them() {
        assert_eq!(name(6, 2), "C7");
        assert_eq!(name(0, 16_383), "XFD1");
    }
}
