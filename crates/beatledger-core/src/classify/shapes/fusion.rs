//! Fusion beats: a shape that is the sum of a part of the normal and a part of a ventricular shape.

use super::calibration::{
    BLEND_BETTER, CORE, LEAST_DETERMINANT, LEAST_PART, LEAST_UNEXPLAINED, MOST_PART, SHIFT, STEPS,
    UNEXPLAINED,
};

/// True when `shape` is well explained by a blend of `normal` and `ventricular` over all leads, and much
/// better than by either alone. `[shape, normal, ventricular]` are means, leads one after the other.
pub fn is_blend([shape, normal, ventricular]: [&[f32]; 3], weights: &[f32]) -> bool {
    (0..=2 * SHIFT).any(|shift| {
        let [xx, xn, xv, nn, nv, vv] = inner_products(shape, normal, ventricular, weights, shift);
        let det = nn * vv - nv * nv;
        if det <= LEAST_DETERMINANT * nn * vv || xx <= 0.0 {
            return false;
        }
        let (a, b) = ((xn * vv - xv * nv) / det, (xv * nn - xn * nv) / det);
        let left = (xx - a * xn - b * xv) / xx;
        let alone = 1.0 - (xn * xn / nn).max(xv * xv / vv) / xx;
        let part = LEAST_PART..=MOST_PART;
        part.contains(&a)
            && part.contains(&b)
            && left < UNEXPLAINED
            && alone > BLEND_BETTER * left.max(LEAST_UNEXPLAINED)
    })
}

/// Weighted inner products: xx, xn, xv, nn, nv, vv, with the ventricular shape read from step `shift`.
fn inner_products(x: &[f32], n: &[f32], v: &[f32], weights: &[f32], shift: usize) -> [f32; 6] {
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
