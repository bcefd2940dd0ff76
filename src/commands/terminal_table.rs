/*! A table on a terminal: columns as wide as their widest cell, long cells broken at blanks. */

/// A cell wider than this is broken into lines, in characters.
const WIDEST_CELL: usize = 44;

/// `rows` under `headers`, indented; columns in which nothing stands are left out.
pub(crate) fn table(headers: &[String], rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let cell = |row: &[String], column: usize| row.get(column).cloned().unwrap_or_default();
    let kept: Vec<usize> = (0..columns)
        .filter(|&c| rows.iter().any(|row| !cell(row, c).is_empty()))
        .collect();
    let head = (!headers.is_empty()).then_some(headers);
    let broken: Vec<Vec<Vec<String>>> = head
        .into_iter()
        .chain(rows.iter().map(Vec::as_slice))
        .map(|row| kept.iter().map(|&c| broken(&cell(row, c))).collect())
        .collect();
    let width = |column: usize| {
        let lines = broken.iter().flat_map(|row| &row[column]);
        lines.map(|line| line.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..kept.len()).map(width).collect();
    let mut text = String::new();
    for row in &broken {
        for line in 0..row.iter().map(Vec::len).max().unwrap_or(0) {
            let mut printed = String::from(" ");
            for (cell, width) in row.iter().zip(&widths) {
                let part = cell.get(line).map_or("", String::as_str);
                printed += &format!(" {part:<width$} ");
            }
            text += printed.trim_end();
            text.push('\n');
        }
    }
    text
}

/// A cell's lines, broken at spaces that may break, none wider than [`WIDEST_CELL`] unless a single word is.
fn broken(cell: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in cell.split(' ').filter(|word| !word.is_empty()) {
        let line = lines.last().map_or(0, |line| line.chars().count());
        if line > 0 && line + 1 + word.chars().count() > WIDEST_CELL {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_cells_are_broken_and_empty_columns_left_out() {
        let words = |cells: &[&str]| cells.iter().map(|c| c.to_string()).collect::<Vec<_>>();
        let long = "readings scatter by 0.9 mK (one standard deviation); limit 0.2 mK";
        let text = table(
            &words(&["session", "event", "reasons"]),
            &[words(&["S-1", "", long]), words(&["S-2", "", ""])],
        );
        let expected = "  session  reasons\n  \
            S-1      readings scatter by 0.9 mK (one standard\n           \
            deviation); limit 0.2 mK\n  S-2\n";
        assert_eq!(text, expected);
        assert_eq!(table(&words(&["a"]), &[]), "");
    }
}
