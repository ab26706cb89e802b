//! Key chords: which key with which of Ctrl and Shift, how it is printed, when it is pressed.

use egui::{Event, Key, Modifiers};

/// A key, alone or with Ctrl (Cmd on a Mac), Shift or both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chord {
    key: Key,
    ctrl: bool,
    shift: bool,
}

/// A key alone.
pub const fn plain(key: Key) -> Chord {
    Chord { key, ctrl: false, shift: false }
}

/// A key with Shift.
pub const fn shift(key: Key) -> Chord {
    Chord { key, ctrl: false, shift: true }
}

/// A key with Ctrl.
pub const fn ctrl(key: Key) -> Chord {
    Chord { key, ctrl: true, shift: false }
}

/// A key with Ctrl and Shift.
pub const fn ctrl_shift(key: Key) -> Chord {
    Chord { key, ctrl: true, shift: true }
}

impl Chord {
    /// The chord in print, such as `Ctrl+Shift+P`.
    pub fn words(self) -> String {
        let mut words = String::new();
        if self.ctrl {
            words.push_str("Ctrl+");
        }
        if self.shift {
            words.push_str("Shift+");
        }
        words.push_str(key_word(self.key));
        words
    }

    /// True when it needs neither Ctrl nor a key that no text field takes: silent while someone types.
    pub fn is_typing(self) -> bool {
        !self.ctrl && !matches!(self.key, Key::Escape | Key::F1 | Key::F6 | Key::PageUp | Key::PageDown)
    }

    /// True for an arrow key alone.
    pub fn is_arrow(self) -> bool {
        let arrow = matches!(self.key, Key::ArrowLeft | Key::ArrowRight | Key::ArrowUp | Key::ArrowDown);
        arrow && !self.ctrl && !self.shift
    }

    /// How many modifiers it names; chords with more are tried first.
    pub fn specificity(self) -> u8 {
        u8::from(self.ctrl) + u8::from(self.shift)
    }

    /// True when a press of `key` with `modifiers` is this chord. Shift is not looked at for keys that
    /// need it on some keyboards to be typed at all.
    pub fn matches(self, key: Key, modifiers: Modifiers) -> bool {
        let free_shift = matches!(self.key, Key::Plus | Key::Questionmark | Key::Slash);
        key == self.key
            && self.ctrl == (modifiers.command || modifiers.ctrl)
            && !modifiers.alt
            && (free_shift || self.shift == modifiers.shift)
    }

    /// Takes the press of this chord out of the events of the frame; gives how often it was pressed.
    pub fn take(self, events: &mut Vec<Event>) -> usize {
        let before = events.len();
        events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } => !self.matches(*key, *modifiers),
            _ => true,
        });
        before - events.len()
    }
}

fn key_word(key: Key) -> &'static str {
    match key {
        Key::ArrowLeft => "Left",
        Key::ArrowRight => "Right",
        Key::ArrowUp => "Up",
        Key::ArrowDown => "Down",
        Key::PageUp => "Page up",
        Key::PageDown => "Page down",
        Key::Escape => "Esc",
        Key::Plus => "+",
        Key::Minus => "-",
        Key::Comma => ",",
        Key::Period => ".",
        Key::Slash => "/",
        Key::Questionmark => "?",
        other => other.name(),
    }
}
