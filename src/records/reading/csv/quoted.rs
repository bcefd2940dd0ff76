/*! A field as a line of CSV has it. */

/// Adds a field to a line with this delimiter, in quotation marks where it needs them.
pub(crate) fn push_field(line: &mut String, field: &str, delimiter: char) {
    if !field.contains([delimiter, '"', '\n', '\r']) {
        return line.push_str(field);
    }
    line.push('"');
    line.push_str(&field.replace('"', "\"\""));
    line.push('"');
}
