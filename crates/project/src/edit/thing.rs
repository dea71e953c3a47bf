//! Which paths are of things that can be handled as a whole.

/// Whether what stands at a path is a thing of its own, to be deleted: a rider and what is on it, a piece of a stack,
/// a node of the line, an obstacle, a part, a material.
pub fn is_thing(path: &str) -> bool {
    let steps: Vec<&str> = path.split('/').collect();
    matches!(
        steps.as_slice(),
        ["riders" | "obstacles" | "parts" | "materials", _]
            | ["riders", _, "wheels" | "bolts" | "shoes" | "plates" | "loads" | "points", _]
            | ["riders", _, "plates", _, "features", _]
            | ["riders", _, "stack", _]
            | ["riders", _, "wheels" | "bolts", _, "stack", _]
            | ["riders", _, "grip"]
            | ["line"]
            | ["line", "nodes", _]
    ) && !path.ends_with("/screw")
}

/// Whether it is a piece of a stack.
pub fn is_piece(path: &str) -> bool {
    path.rsplit_once('/').is_some_and(|(base, _)| base.ends_with("/stack"))
}

/// What stands at a path, or the nearest thing it is a part of, of which something is true.
pub fn nearest(path: &str, is: impl Fn(&str) -> bool) -> Option<&str> {
    std::iter::successors(Some(path), |path| path.rsplit_once('/').map(|(above, _)| above))
        .find(|path| is(path))
}

/// Whether another of it can be made.
pub fn can_be_doubled(path: &str) -> bool {
    is_thing(path) && path != "line" && !path.ends_with("/grip")
}

/// Whether it can be put on a clipboard ([`super::Clip`]): a whole stack can, too.
pub fn can_be_copied(path: &str) -> bool {
    path.ends_with("/stack") || (can_be_doubled(path) && !path.starts_with("line/"))
}

/// Whether it can be mirrored in place.
pub fn can_be_mirrored(path: &str) -> bool {
    matches!(path.split('/').collect::<Vec<_>>().as_slice(), ["riders" | "obstacles", _])
}
