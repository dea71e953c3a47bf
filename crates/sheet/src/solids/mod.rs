//! Bodies as closed meshes, and meshes as STL.

mod body_mesh;
mod stl;

pub use body_mesh::body_meshes;
pub use stl::stl;
