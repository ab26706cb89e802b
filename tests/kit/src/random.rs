//! Random numbers that can be repeated.

/// A stream of random numbers: Knuth's 64-bit linear congruential generator (MMIX; 'The Art of Computer Programming',
/// volume 2, section 3.3.4), of which the upper 31 bits are used. `tests/reference/score/make_expected.py` makes the
/// same stream.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// The stream of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 31 bits.
    pub fn bits(&mut self) -> u32 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as u32
    }

    /// A whole number from 0 to below `limit`, which is at least 1 and at most 2³¹.
    pub fn below(&mut self, limit: u64) -> i64 {
        (u64::from(self.bits()) % limit) as i64
    }

    /// A number above 0 and below 1.
    pub fn share(&mut self) -> f64 {
        (f64::from(self.bits()) + 0.5) / f64::from(1u32 << 31)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: from state 0 the first state is the addend itself.
    #[test]
    fn the_stream_of_a_seed_is_known_and_its_shares_fill_the_unit_interval() {
        assert_eq!(Random::new(0).bits(), (1_442_695_040_888_963_407u64 >> 33) as u32);
        let mut random = Random::new(7);
        let shares: Vec<f64> = (0..100_000).map(|_| random.share()).collect();
        assert!(shares.iter().all(|s| 0.0 < *s && *s < 1.0));
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        let variance = shares.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / shares.len() as f64;
        // Theory: mean 1/2 and variance 1/12; four standard errors of the mean are 0.0037.
        assert!((mean - 0.5).abs() < 0.0037, "{mean}");
        assert!((variance - 1.0 / 12.0).abs() < 0.001, "{variance}");
        assert!((0..1000).all(|_| (0..5).contains(&random.below(5))));
    }
}
