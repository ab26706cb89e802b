//! The colours of paper, ink and lines. Colours of beat classes are in `values` and used for nothing else.

/// Red, green, blue.
pub(super) type Rgb = (u8, u8, u8);

/// Text and tracing.
pub const INK: Rgb = (0x1a, 0x1a, 0x1a);
/// Quiet text; 6.3:1 on white.
pub const MUTED: Rgb = (0x5c, 0x5b, 0x57);
/// Rules.
pub const RULE: Rgb = (0xc9, 0xc6, 0xbf);
/// Faint rules of tables.
pub const FAINT: Rgb = (0xe4, 0xe2, 0xdc);
/// Ground of boxes.
pub const GROUND: Rgb = (0xf4, 0xf2, 0xed);
/// Night.
pub const NIGHT: Rgb = (0xeb, 0xec, 0xf0);
/// Unreadable time.
pub const UNREADABLE: Rgb = (0xde, 0xdc, 0xd7);
/// Band of the rate trend.
pub const BAND: Rgb = (0xb7, 0xbc, 0xc2);
/// Bold lines of tracing paper.
pub const GRID_BOLD: Rgb = (0xd9, 0xb8, 0xb0);
/// Fine lines of tracing paper.
pub const GRID_FINE: Rgb = (0xf0, 0xe0, 0xdb);
