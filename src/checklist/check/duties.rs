//! What a step opens or closes is in `duties.yaml`.

use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        for duty in step.opens.iter().chain(&step.closes) {
            if !one.all.duties.contains_key(&duty.is) {
                let known = one.all.duties.keys().map(|name| name.as_str());
                let nearest = nearest(duty.is.as_str(), known);
                out.add(
                    duty.at,
                    Kind::UnknownDuty {
                        name: duty.is.to_string(),
                        nearest,
                    },
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn an_unknown_duty_is_told() {
        assert_eq!(
            spoiled("then: look", "opens: clamp\n    then: look"),
            [""; 0]
        );
        assert_eq!(
            spoiled("then: look", "opens: clmp\n    then: look"),
            ["unknown-duty 15:12"]
        );
        assert_eq!(
            spoiled("then: look", "closes: [clamp, tap]\n    then: look"),
            ["unknown-duty 15:21"]
        );
    }
}
