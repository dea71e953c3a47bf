//! Binary STL.

use glidewright_geometry::Mesh;

/// A mesh as binary STL: 80 bytes of title, the number of triangles, and for each its normal and corners
/// as little-endian 32-bit numbers. Lengths are millimetres, by the usual understanding of the format.
pub fn stl(mesh: &Mesh) -> Vec<u8> {
    const TITLE: &[u8] = b"Glidewright, millimetres";
    const HEADER: usize = 80;
    const TRIANGLE: usize = 50;
    let triangles: Vec<_> = mesh.triangle_corners().collect();
    let mut bytes = Vec::with_capacity(HEADER + 4 + TRIANGLE * triangles.len());
    bytes.extend_from_slice(TITLE);
    bytes.resize(HEADER, 0);
    bytes.extend_from_slice(&u32::try_from(triangles.len()).unwrap_or(u32::MAX).to_le_bytes());
    for [a, b, c] in triangles {
        let normal = (b - a).cross(c - a).normalize_or_zero();
        for vector in [normal, a, b, c] {
            for value in vector.to_array() {
                bytes.extend_from_slice(&(value as f32).to_le_bytes());
            }
        }
        bytes.extend_from_slice(&[0, 0]);
    }
    bytes
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::{DVec3, Mesh, Solid};

    #[test]
    fn a_box_is_twelve_triangles_that_face_out() {
        let solid = Solid::cuboid_between(DVec3::ZERO, DVec3::new(1.0, 2.0, 3.0));
        let mesh = Mesh::of_solid(&solid, 0.01).unwrap();
        let bytes = super::stl(&mesh);
        assert_eq!(bytes.len(), 84 + 50 * 12);
        assert_eq!(u32::from_le_bytes(bytes[80..84].try_into().unwrap()), 12);
        // Read back: the volume by the divergence theorem.
        let number = |at: usize| f64::from(f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()));
        let corner = |at: usize| DVec3::new(number(at), number(at + 4), number(at + 8));
        let volume: f64 = (0..12)
            .map(|t| {
                let at = 84 + 50 * t + 12;
                corner(at).dot(corner(at + 12).cross(corner(at + 24))) / 6.0
            })
            .sum();
        assert!((volume - 6.0).abs() < 1e-6, "{volume}");
    }
}
