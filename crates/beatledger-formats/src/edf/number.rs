//! Decimal numbers of header fields, kept exact so that gains do not pick up binary noise.

/// A decimal number as written: `digits` times ten to the power `exponent`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Decimal {
    digits: i64,
    exponent: i32,
}

impl Decimal {
    /// Reads sign, digits, one decimal mark (`.`, or `,` which is then reported) and an exponent.
    pub(super) fn parse(text: &str) -> Option<(Self, Comma)> {
        let text = text.trim();
        let (number, exponent) = match text.split_once(['e', 'E']) {
            Some((number, exponent)) => (number, exponent.parse::<i32>().ok()?),
            None => (text, 0),
        };
        let comma = number.contains(',');
        let unsigned = number.strip_prefix(['+', '-']).unwrap_or(number);
        let (whole, part) = unsigned.split_once(['.', ',']).unwrap_or((unsigned, ""));
        let all: String = whole.chars().chain(part.chars()).collect();
        if all.is_empty() || all.len() > 18 || !all.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        // At most 18 digits fit into 64 bits.
        let digits: i64 = all.parse().ok()?;
        let digits = if number.starts_with('-') { -digits } else { digits };
        let exponent = exponent.checked_sub(part.len() as i32)?;
        Some((Self { digits, exponent }, Comma(comma)))
    }

    pub(super) fn to_f64(self) -> f64 {
        // Going by way of text rounds once; the text is valid by construction.
        format!("{}e{}", self.digits, self.exponent).parse().unwrap_or(f64::NAN)
    }

    /// Both numbers over one power of ten, when they lie close enough for exact arithmetic: digits of each and
    /// the common exponent.
    pub(super) fn aligned(self, other: Self) -> Option<(i128, i128, i32)> {
        let exponent = self.exponent.min(other.exponent);
        let lift = |d: Self| {
            let power = u32::try_from(d.exponent.checked_sub(exponent)?).ok().filter(|p| *p <= 15)?;
            Some(i128::from(d.digits) * 10i128.pow(power))
        };
        Some((lift(self)?, lift(other)?, exponent))
    }
}

/// True when the number was written with a decimal comma.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Comma(pub(super) bool);

/// Greatest common divisor; 1 when both are 0.
pub(super) fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

/// `nanoseconds` as decimal seconds with no trailing zeros.
pub(super) fn seconds_text(nanoseconds: i128) -> String {
    let (whole, part) = (nanoseconds / 1_000_000_000, nanoseconds % 1_000_000_000);
    let sign = if nanoseconds < 0 { "-" } else { "" };
    let text = format!("{sign}{}.{:09}", whole.abs(), part.abs());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The number as text of at most 8 characters, nearest to it; `None` when it does not fit.
pub(super) fn eight_chars(x: f64) -> Option<String> {
    (0..=6).rev().map(|places| format!("{x:.places$}")).find(|text| text.len() <= 8).map(|text| {
        let short = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        if short == "-0" { "0".to_owned() } else { short.to_owned() }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_the_standard_allows() {
        let value = |text: &str| Decimal::parse(text).map(|(d, _)| d.to_f64());
        assert_eq!(value(" -1.5 "), Some(-1.5));
        assert_eq!(value("1E-3"), Some(0.001));
        assert_eq!(value("+7"), Some(7.0));
        assert_eq!(value("163.835"), Some(163.835));
        for bad in ["", "x", "1.2.3", "NaN", "inf", "1,000.5", "--1", "0x10", "1e", "."] {
            assert_eq!(value(bad), None, "{bad}");
        }
        assert_eq!(Decimal::parse("5,25").map(|(d, comma)| (d.to_f64(), comma)), Some((5.25, Comma(true))));
    }

    #[test]
    fn seconds_carry_no_binary_noise() {
        assert_eq!(seconds_text(1_500_000_000), "1.5");
        assert_eq!(seconds_text(86_400_000_000_000), "86400");
        assert_eq!(seconds_text(2_777_778), "0.002777778");
        assert_eq!(seconds_text(-250_000_000), "-0.25");
        assert_eq!(seconds_text(0), "0");
    }

    #[test]
    fn eight_characters_hold_the_nearest_number() {
        assert_eq!(eight_chars(-163.84).as_deref(), Some("-163.84"));
        assert_eq!(eight_chars(4.297_018_34).as_deref(), Some("4.297018"));
        assert_eq!(eight_chars(-4_737.114_9).as_deref(), Some("-4737.11"));
        assert_eq!(eight_chars(123_456_789.0), None);
        assert_eq!(eight_chars(-0.000_000_1).as_deref(), Some("0"));
    }
}
