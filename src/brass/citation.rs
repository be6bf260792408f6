//! Where the limits of an instrument come from, in words.

use super::catalogue::{self, Entry};

/// Where the limits of an instrument of the catalogue come from, its works named in full; `None` for an
/// instrument that is not there. The name is the full one: `trumpet in Bb`.
pub fn limits_source(name: &str) -> Option<String> {
    let entry = catalogue::entries().find(|entry| entry.full_name() == name)?;
    let limits = part(&entry, "limits: ")?;
    let mut told = String::new();
    let mut rest = limits;
    while let Some((before, (code, after))) =
        rest.split_once('[').and_then(|(before, inside)| Some((before, inside.split_once(']')?)))
    {
        told.push_str(before);
        told.push_str(work(code).unwrap_or(code));
        rest = after;
    }
    told.push_str(rest);
    Some(told)
}

/// One of the parts of the entry's sources, which ` | ` divides.
fn part(entry: &Entry, label: &str) -> Option<&'static str> {
    entry.sources.split(" | ").find_map(|part| part.strip_prefix(label))
}

/// Author, title and year of a work that the table lists in its heading.
fn work(code: &str) -> Option<&'static str> {
    catalogue::works().find(|(listed, _)| *listed == code).map(|(_, work)| work)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_says_where_its_limits_come_from() {
        for entry in catalogue::entries() {
            let told = limits_source(&entry.full_name()).unwrap();
            assert!(!told.contains(['[', ']']), "{}: {told}", entry.full_name());
        }
    }

    #[test]
    fn every_code_is_a_work_of_the_list() {
        for entry in catalogue::entries() {
            for code in entry.sources.split('[').skip(1).filter_map(|s| s.split_once(']')) {
                assert!(work(code.0).is_some(), "{}: [{}]", entry.full_name(), code.0);
            }
        }
    }

    #[test]
    fn works_are_named() {
        assert!(limits_source("flugelhorn in Bb").unwrap().contains("regular C6, extended E6"));
        assert_eq!(limits_source("alto saxophone"), None);
    }
}
