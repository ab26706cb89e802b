//! Day-long recordings with known truth, made from a rhythm script and a seed.
