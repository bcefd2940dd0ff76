/*! A person's own header for one of our columns: stated, as ours, or the column switched off. */

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// What stands for the header of a column that is switched off; no column can be named so.
pub(crate) const OFF: &str = "";

/// The header under which a column of ours is read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum OwnHeader {
    /// Our own name.
    #[default]
    Same,
    /// The person's header.
    Named(String),
    /// None: the column is not read, whatever its name (`false` in the pipeline file).
    Off,
}

impl OwnHeader {
    /// The header where one is stated; empty for a column that is switched off.
    pub(crate) fn as_deref(&self) -> Option<&str> {
        match self {
            OwnHeader::Same => None,
            OwnHeader::Named(header) => Some(header),
            OwnHeader::Off => Some(OFF),
        }
    }
}

impl From<&str> for OwnHeader {
    fn from(header: &str) -> Self {
        OwnHeader::Named(header.to_string())
    }
}

impl Serialize for OwnHeader {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            OwnHeader::Same => serializer.serialize_none(),
            OwnHeader::Named(header) => serializer.serialize_str(header),
            OwnHeader::Off => serializer.serialize_bool(false),
        }
    }
}

impl<'de> Deserialize<'de> for OwnHeader {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl de::Visitor<'_> for Visitor {
            type Value = OwnHeader;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a header in quotation marks, or false for a column that is not read")
            }

            fn visit_str<E: de::Error>(self, header: &str) -> Result<OwnHeader, E> {
                match header {
                    OFF => Ok(OwnHeader::Off),
                    header => Ok(OwnHeader::Named(header.to_string())),
                }
            }

            fn visit_bool<E: de::Error>(self, read: bool) -> Result<OwnHeader, E> {
                match read {
                    true => Err(E::invalid_value(de::Unexpected::Bool(true), &self)),
                    false => Ok(OwnHeader::Off),
                }
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}
