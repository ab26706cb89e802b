//! Fusion beats: a shape that is the sum of a part of the normal and a part of a ventricular shape.

use super::shape::{CORE, SHIFT, STEPS};

/// Parts of both shapes must lie in this range.
const PART: std::ops::RangeInclusive<f32> = 0.22..=0.9;
/// Share of the energy that the blend may leave unexplained.
const LEFT: f32 = 0.08;
/// How much better the blend must explain than the better of the two shapes alone.
const BETTER: f32 = 2.5;

/// True when `shape` is well explained by a blend of `normal` and `ventricular` over all leads, and much
/// better than by either alone. `[shape, normal, ventricular]` are means, leads one after the other.
pub fn is_blend([shape, normal, ventricular]: [&[f32]; 3], weights: &[f32]) -> bool {
    (0..=2 * SHIFT).any(|shift| {
        let sums = sums(shape, normal, ventricular, weights, shift);
        let [xx, xn, xv, nn, nv, vv] = sums;
        let det = nn * vv - nv * nv;
        if det <= 1e-3 * nn * vv || xx <= 0.0 {
            return false;
        }
        let (a, b) = ((xn * vv - xv * nv) / det, (xv * nn - xn * nv) / det);
        let left = (xx - a * xn - b * xv) / xx;
        let alone = 1.0 - (xn * xn / nn).max(xv * xv / vv) / xx;
        PART.contains(&a) && PART.contains(&b) && left < LEFT && alone > BETTER * left.max(0.01)
    })
}

/// Weighted inner products: xx, xn, xv, nn, nv, vv, with the ventricular shape read from step `shift`.
fn sums(x: &[f32], n: &[f32], v: &[f32], weights: &[f32], shift: usize) -> [f32; 6] {
    let mut sums = [0.0f32; 6];
    for (lead, weight) in weights.iter().enumerate() {
        let at = lead * STEPS + SHIFT;
        for k in 0..CORE {
            let (x, n, v) = (x[at + k], n[at + k], v[lead * STEPS + shift + k]);
            for (sum, product) in sums.iter_mut().zip([x * x, x * n, x * v, n * n, n * v, v * v]) {
                *sum += weight * product;
            }
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bump(centre: f32, width: f32, height: f32) -> Vec<f32> {
        (0..STEPS).map(|k| height * (-((k as f32 - centre) / width).powi(2)).exp()).collect()
    }

    #[test]
    fn half_a_normal_and_half_a_ventricular_shape_is_a_blend_and_neither_alone_is() {
        let (normal, ventricular) = (bump(18.0, 2.0, 1.0), bump(23.0, 6.0, -1.4));
        let half: Vec<f32> = normal.iter().zip(&ventricular).map(|(n, v)| 0.5 * n + 0.5 * v).collect();
        assert!(is_blend([&half, &normal, &ventricular], &[1.0]));
        assert!(!is_blend([&normal, &normal, &ventricular], &[1.0]));
        assert!(!is_blend([&ventricular, &normal, &ventricular], &[1.0]));
        assert!(!is_blend([&bump(10.0, 2.0, 1.0), &normal, &ventricular], &[1.0]));
    }
}
