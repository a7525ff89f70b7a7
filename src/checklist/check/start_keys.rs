//! No two urgent lists are started by the same key.

use std::collections::HashMap;

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::All;

pub(super) fn check(all: &All<'_>, out: &mut Findings) {
    let mut first: HashMap<char, String> = HashMap::new();
    for list in all.lists {
        let Some(key) = &list.key else { continue };
        let name = list
            .stem
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default();
        match first.get(&key.is) {
            Some(other) => out.add(
                key.at,
                Kind::SameKey {
                    key: key.is,
                    other: other.clone(),
                },
            ),
            None => {
                first.insert(key.is, name);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{URGENT, two_lists};

    #[test]
    fn the_second_list_with_a_key_is_told() {
        let other = URGENT.replace("checklist: good", "checklist: later");
        assert_eq!(two_lists(URGENT, &other), ["same-key 6:6"]);
        let other = other.replace("key: \"!\"", "key: D");
        assert_eq!(two_lists(URGENT, &other), [""; 0]);
    }
}
