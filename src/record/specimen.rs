//! Made-up facts in which everything is filled, or nothing is: a template is tried on both
//! before it is ever given real ones.

/// A type that can be filled for trying a template.
pub(super) trait Specimen {
    /// Everything filled: each text says its own name, each list has one entry.
    fn full(name: &str) -> Self;
    /// Nothing filled: empty texts and lists, nothing known.
    fn bare() -> Self;
}

impl Specimen for String {
    fn full(name: &str) -> Self {
        name.replace('_', " ")
    }
    fn bare() -> Self {
        Self::new()
    }
}

impl Specimen for bool {
    fn full(_: &str) -> Self {
        true
    }
    fn bare() -> Self {
        false
    }
}

impl Specimen for u64 {
    fn full(_: &str) -> Self {
        2
    }
    fn bare() -> Self {
        0
    }
}

impl<T: Specimen> Specimen for Option<T> {
    fn full(name: &str) -> Self {
        Some(T::full(name))
    }
    fn bare() -> Self {
        None
    }
}

impl<T: Specimen> Specimen for Vec<T> {
    fn full(name: &str) -> Self {
        vec![T::full(name)]
    }
    fn bare() -> Self {
        Self::new()
    }
}

/// Declares fact structs: public fields, JSON both ways with unknown keys refused, and specimens.
macro_rules! facts {
    ($($(#[$doc:meta])* struct $name:ident { $($(#[$field_doc:meta])* $field:ident: $type:ty,)* })*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($(#[$field_doc])* pub $field: $type,)* }

        impl $crate::record::specimen::Specimen for $name {
            fn full(_: &str) -> Self {
                Self { $($field: $crate::record::specimen::Specimen::full(stringify!($field)),)* }
            }
            fn bare() -> Self {
                Self { $($field: $crate::record::specimen::Specimen::bare(),)* }
            }
        }
    )*};
}
pub(super) use facts;
