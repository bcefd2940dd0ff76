/*! The settings that a draft states beside columns, formats and units, in the order in which they were taken. */

/// What is stated of a setting.
#[derive(Debug, Clone, PartialEq)]
enum Value {
    /// Its value as TOML.
    Is(String),
    /// The values, as TOML, of which a person must choose one.
    OneOf(String),
}

/// Settings, each with its value as TOML.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Stated(Vec<(&'static str, Value)>);

impl Stated {
    /// States a setting anew, behind the others.
    pub(crate) fn set(&mut self, key: &'static str, value: impl Into<String>) {
        self.remove(key);
        self.0.push((key, Value::Is(value.into())));
    }

    /// Says which values a setting may have.
    pub(crate) fn leave_open(&mut self, key: &'static str, values: &[&str]) {
        self.add((key, Value::OneOf(values.join(" or "))));
    }

    /// Takes back what was said of a setting.
    pub(crate) fn remove(&mut self, key: &str) {
        self.0.retain(|(own, _)| *own != key);
    }

    /// The value of a setting as TOML, where one is stated.
    pub(crate) fn get(&self, key: &str) -> Option<&str> {
        self.0.iter().find_map(|(own, value)| match value {
            Value::Is(value) if *own == key => Some(value.as_str()),
            _ => None,
        })
    }

    /// A setting as a line of the pipeline file; empty where it is not stated.
    pub(crate) fn line(&self, key: &str) -> String {
        let value = self.get(key);
        value.map_or(String::new(), |value| format!("{key} = {value}"))
    }

    /// The settings that another states otherwise than this one.
    pub(crate) fn contradicted_by(&self, other: &Stated) -> impl Iterator<Item = &'static str> {
        self.0
            .iter()
            .filter_map(|(key, value)| match (value, other.get(key)) {
                (Value::Is(own), Some(other)) if own != other => Some(*key),
                _ => None,
            })
    }

    /// Adds what another draft states and this one does not.
    pub(crate) fn join(&mut self, other: &Stated) {
        let new = other.0.iter().filter(|(key, _)| self.get(key).is_none());
        let new: Vec<_> = new.cloned().collect();
        new.into_iter().for_each(|setting| self.add(setting));
    }

    fn add(&mut self, setting: (&'static str, Value)) {
        if !self.0.contains(&setting) {
            self.0.push(setting);
        }
    }

    /// The lines of the pipeline file.
    pub(crate) fn lines(&self) -> impl Iterator<Item = String> {
        self.0.iter().map(|(key, value)| match value {
            Value::Is(value) => format!("{key} = {value}"),
            Value::OneOf(values) => format!("# {key} = {values}: state it"),
        })
    }
}
