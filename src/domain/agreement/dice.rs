//! A small generator of random numbers (SplitMix64), so that a seed tells a history for good.
//! All that is invented for tests and measurements is thrown with these.

#![allow(dead_code, reason = "each of those who share them throws some")]

/// The dice.
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall by this seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform from 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A whole number from 0 to one less than `end`.
    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.next() % end
    }

    /// Whether something of this chance happens.
    pub(crate) fn chance(&mut self, chance: f64) -> bool {
        self.share() < chance
    }

    /// One of these.
    pub(crate) fn pick<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u64) as usize]
    }

    /// Normal with mean and standard deviation (Box-Muller).
    pub fn normal(&mut self, mean: f64, sd: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        mean + sd * radius * (std::f64::consts::TAU * self.share()).cos()
    }
}
