//! How files are read by their syntax.

use ron::extensions::Extensions;

/// How deep brackets may nest; the format itself needs about ten levels.
pub(crate) const DEEPEST: usize = 64;

/// The options files are read with: `Some` and the brackets of a one-value structure may be left out.
pub(crate) fn options() -> ron::Options {
    ron::Options::default().with_recursion_limit(DEEPEST).with_default_extension(
        Extensions::IMPLICIT_SOME | Extensions::UNWRAP_NEWTYPES | Extensions::UNWRAP_VARIANT_NEWTYPES,
    )
}
