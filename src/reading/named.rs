//! Enums whose variants have one name each, typed or in files: one list, read in both directions.

/// Gives an enum its names: `ALL`, `name` and `named`; or `ALL`, its `word`, which it
/// is shown as, and `spelled`.
macro_rules! named {
    ($type:ident { $($variant:ident = $name:literal),+ $(,)? }) => {
        named!($type, "Its name in files and URIs.", name { $($variant = $name),+ });
        impl $type {
            /// The one of this name.
            pub fn named(name: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|one| one.name() == name)
            }
        }
    };
    ($type:ident::word { $($variant:ident = $word:literal),+ $(,)? }) => {
        named!($type, "The word for it.", word { $($variant = $word),+ });
        impl $type {
            /// The one that this word means, its capitals as they may.
            pub fn spelled(word: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|one| one.word().eq_ignore_ascii_case(word))
            }
        }

        impl std::fmt::Display for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
    ($type:ident, $doc:literal, $word:ident { $($variant:ident = $name:literal),+ }) => {
        impl $type {
            /// All of them.
            pub const ALL: [Self; [$($name),+].len()] = [$(Self::$variant),+];

            #[doc = $doc]
            pub const fn $word(self) -> &'static str {
                match self {
                    $(Self::$variant => $name),+
                }
            }
        }
    };
}

pub(crate) use named;
