/*! What a person is told whose command line is wrong: what is wrong with it, and the mend. */

use crate::records::date;
use crate::words::nearest::nearest;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, Command, Error};

/// Options that other commands have, and what says the same here.
const ELSEWHERE: [(&str, &str, &str); 9] = [
    ("verdict", "as-of", "--date DATE is the day of the reading"),
    ("value", "as-of", "--date DATE is the day of the value"),
    ("explain", "date", "--as-of DATE is the day of the decision"),
    ("run", "date", "--as-of DATE is the day of the report"),
    ("replay", "date", "--as-of DATE is the last day of it"),
    ("approve", "as-of", "--on DATE is the day of the decision"),
    ("approve", "date", "--on DATE is the day of the decision"),
    ("close", "as-of", "--on DATE is the day of the closing"),
    (
        "close",
        "date",
        "--finding DATE is the day of the check, --on DATE that of the closing",
    ),
];

/// The whole message: the parser's own with the mend below it; of an option that the command does
/// not have, our own. `words` are those of the command line behind the program's name.
pub(super) fn told(error: &Error, line: &Command, words: &[String]) -> String {
    let (name, command, rest) = command_of(line, words);
    if let Some(text) = unknown_option(&name, command, rest) {
        return text;
    }
    let own = error.render().to_string();
    let own = own.replace("invalid float literal", "not a number");
    let help: Vec<String> = match error.kind() {
        ErrorKind::MissingRequiredArgument => missing(error, command),
        ErrorKind::UnknownArgument => too_many(error, &name, command).into_iter().collect(),
        ErrorKind::ValueValidation => misplaced(error, &name, rest).into_iter().collect(),
        ErrorKind::InvalidSubcommand => records_for_command(error).into_iter().collect(),
        _ => Vec::new(),
    };
    let lines = help.iter().map(|help| format!("\nhelp: {help}"));
    own.trim_end().to_string() + &lines.collect::<String>()
}

/// The command that the words name, with the words behind its name.
fn command_of<'l, 'w>(
    line: &'l Command,
    words: &'w [String],
) -> (String, &'l Command, &'w [String]) {
    let (mut name, mut command, mut rest) = (String::new(), line, words);
    while let Some((first, behind)) = rest.split_first()
        && let Some(inner) = command.find_subcommand(first)
    {
        name = format!("{name} {first}").trim().to_string();
        (command, rest) = (inner, behind);
    }
    (name, command, rest)
}

/// The first option that the command does not have.
fn unknown_option(name: &str, command: &Command, words: &[String]) -> Option<String> {
    let known: Vec<&str> = command
        .get_arguments()
        .filter_map(Arg::get_long)
        .chain(["help", "version"])
        .collect();
    let options = words.iter().take_while(|word| *word != "--");
    let mut named = options.filter_map(|word| word.strip_prefix("--")?.split('=').next());
    let unknown = named.find(|option| !known.contains(option))?;
    let alike = |option: &str| option.replace('-', "") == unknown.replace('-', "");
    let elsewhere = ELSEWHERE
        .iter()
        .find(|(of, option, _)| *of == name && alike(option))
        .map(|(.., mend)| (*mend).to_string());
    let near = || {
        let near = nearest(unknown, known.iter().copied())?;
        Some(format!("did you mean --{near}?"))
    };
    let all = || {
        let all: Vec<String> = known.iter().map(|option| format!("--{option}")).collect();
        format!("its options are {}", all.join(", "))
    };
    let mend = elsewhere.or_else(near).unwrap_or_else(all);
    let whose = format!("driftbook {name}");
    Some(format!(
        "error: {} has no option --{unknown}\nhelp: {mend}",
        whose.trim_end()
    ))
}

/// What each missing argument is.
fn missing(error: &Error, command: &Command) -> Vec<String> {
    let Some(ContextValue::Strings(names)) = error.get(ContextKind::InvalidArg) else {
        return Vec::new();
    };
    let what = |name: &String| {
        let bare = name.trim_matches(['<', '>', '.', '[', ']']);
        let own = |arg: &&Arg| match arg.get_long() {
            Some(long) => name.starts_with(&format!("--{long} ")),
            None => arg
                .get_value_names()
                .is_some_and(|names| names.iter().any(|name| name == bare)),
        };
        let about = command.get_arguments().find(own)?.get_help()?.to_string();
        let about = about.replace('\n', " ");
        let said = name.strip_prefix('<').map_or(name.as_str(), |_| bare);
        Some(format!("{} is missing: {about}", said))
    };
    names.iter().filter_map(what).collect()
}

/// What the parser says of one kind of thing.
fn text_of(error: &Error, kind: ContextKind) -> Option<&str> {
    match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text),
        _ => None,
    }
}

/// A word too many: a name with a blank in it, or a second file.
fn too_many(error: &Error, name: &str, command: &Command) -> Option<String> {
    let word = text_of(error, ContextKind::InvalidArg)?;
    let names: Vec<String> = command
        .get_positionals()
        .filter_map(|arg| Some(arg.get_value_names()?.first()?.to_string()))
        .collect();
    let takes = match names.is_empty() {
        true => "takes no such word".to_string(),
        false => format!("takes {}", names.join(", then ")),
    };
    (!word.starts_with('-')).then(|| {
        format!("driftbook {name} {takes}; \"{word}\" is one word too many: a name with a blank stands in quotes")
    })
}

/// A reading of a verdict that is no number: the instrument, or a day.
fn misplaced(error: &Error, name: &str, words: &[String]) -> Option<String> {
    let argument = text_of(error, ContextKind::InvalidArg)?;
    let value = text_of(error, ContextKind::InvalidValue)?;
    if name != "verdict" || !argument.contains("VALUE") {
        return None;
    }
    let place = words.iter().position(|word| word == value)?;
    let before = place.checked_sub(1).map(|before| words[before].as_str());
    let swapped = before.filter(|word| word.parse::<f64>().is_ok());
    Some(match swapped {
        Some(number) => format!("the instrument comes first, then the reading: driftbook verdict {value} {number}"),
        None if date::parse_iso(value.as_bytes()).is_some() => {
            format!("a day is no reading: driftbook verdict INSTRUMENT VALUE --date {value}")
        }
        None => "VALUE is the reading, a number such as 1.9, with its unit where that is not the records' own: \"1.9 mK\"".into(),
    })
}

/// Help for a person who named the records where a command belongs.
fn records_for_command(error: &Error) -> Option<String> {
    let word = text_of(error, ContextKind::InvalidSubcommand)?;
    let there = std::path::Path::new(word).exists();
    there.then(|| format!("{word} is there; to make its report: driftbook run {word}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::CommandLine;
    use clap::{CommandFactory, Parser};

    fn said(words: &[&str]) -> String {
        let line = std::iter::once("driftbook").chain(words.iter().copied());
        let words: Vec<String> = words.iter().map(|word| (*word).to_string()).collect();
        let error = CommandLine::try_parse_from(line).unwrap_err();
        told(&error, &CommandLine::command(), &words)
    }

    #[test]
    fn each_wrong_use_is_told_with_its_mend() {
        let wrong: [(&[&str], &str, &str); 9] = [
            (
                &[
                    "verdict",
                    "R-1",
                    "--as-of",
                    "2025-06-01",
                    "--records",
                    "m.csv",
                ],
                "verdict has no option --as-of",
                "--date DATE is the day of the reading",
            ),
            (
                &["verdict", "R-1", "--records", "m.csv"],
                "<VALUE>",
                "VALUE is missing: Reading: the error as found",
            ),
            (
                &["verdict", "1.9", "R-1", "--demo"],
                "'R-1'",
                "driftbook verdict R-1 1.9",
            ),
            (
                &["verdict", "R-1", "2025-06-01", "--demo"],
                "'2025-06-01'",
                "--date 2025-06-01",
            ),
            (
                &["explain", "R-1", "--record", "m.csv"],
                "--record",
                "--records?",
            ),
            (
                &["explain", "A", "triple", "point", "--demo"],
                "'point'",
                "\"point\" is one word too many",
            ),
            (&["manual"], "--out <DIR>", "--out <DIR> is missing: Folder"),
            (
                &[
                    "approve",
                    "R-1",
                    "--by",
                    "A",
                    "--interval",
                    "x",
                    "--records",
                    "m.toml",
                ],
                "'x'",
                "not a number",
            ),
            (
                &["replay", "--date", "2025-06-01"],
                "--date",
                "--as-of DATE",
            ),
        ];
        for (words, what, mend) in wrong {
            let said = said(words);
            assert!(
                said.contains(what) && said.contains(mend),
                "{words:?}: {said}"
            );
        }
    }
}
