//! A list has the name of its file.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    let (Some(stem), Some(name)) = (&one.list.stem, &one.list.name) else {
        return;
    };
    if name.is != stem.as_str() {
        let kind = Kind::NameNotFile {
            name: name.is.clone(),
            stem: stem.to_string(),
        };
        out.add(name.at, kind);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn another_name_than_the_file_is_told() {
        assert_eq!(
            spoiled("checklist: good", "checklist: other"),
            ["name-not-file 1:12"]
        );
    }
}
