//! Enums whose variants have one name each in files and URIs: one list, read in both directions.

/// Gives an enum its names: `ALL`, `name` and `named`.
macro_rules! named {
    ($type:ident { $($variant:ident = $name:literal),+ $(,)? }) => {
        impl $type {
            /// All of them.
            pub const ALL: [Self; [$($name),+].len()] = [$(Self::$variant),+];

            /// Its name in files and URIs.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name),+
                }
            }

            /// The one of this name.
            #[must_use]
            pub fn named(name: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|one| one.name() == name)
            }
        }
    };
}

pub(crate) use named;
