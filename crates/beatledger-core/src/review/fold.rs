//! The fold of the ledger: which edits are in force, what undo and redo would do, whether it is signed.

use super::{Action, Edit, Entry, Signature};

/// State of the ledger after its entries.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fold {
    /// Edits in force with their sequence numbers, oldest first.
    pub in_force: Vec<(u64, Edit)>,
    /// Edits taken back that redo would bring again, the next one last.
    pub undone: Vec<(u64, Edit)>,
    /// The last signature and the sequence number of its entry.
    pub signed: Option<(u64, Signature)>,
    /// True when an edit, undo or redo came after the last signature.
    pub changed_since_signing: bool,
    /// Entries that named no edit they could act on, by sequence number.
    pub without_effect: Vec<u64>,
}

impl Fold {
    /// Folds entries in order.
    pub fn of<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Self {
        let mut fold = Self::default();
        entries.into_iter().for_each(|e| fold.push(e));
        fold
    }

    /// Takes one more entry in.
    pub fn push(&mut self, entry: &Entry) {
        match &entry.action {
            // To have looked changes nothing that is said: it takes no redo away and leaves a signature as it is.
            Action::Do(edit @ Edit::MarkRead { .. }) => {
                return self.in_force.push((entry.seq, edit.clone()));
            }
            Action::Do(edit) => {
                self.undone.clear();
                self.in_force.push((entry.seq, edit.clone()));
            }
            Action::Undo { seq } => match self.in_force.iter().position(|(s, _)| s == seq) {
                Some(at) => self.undone.push(self.in_force.remove(at)),
                None => return self.without_effect.push(entry.seq),
            },
            Action::Redo { seq } => match self.undone.iter().position(|(s, _)| s == seq) {
                Some(at) => {
                    let back = self.undone.remove(at);
                    let place = self.in_force.partition_point(|(s, _)| *s < back.0);
                    self.in_force.insert(place, back);
                }
                None => return self.without_effect.push(entry.seq),
            },
            Action::Sign(signature) => {
                self.signed = Some((entry.seq, signature.clone()));
                self.changed_since_signing = false;
                return;
            }
        }
        self.changed_since_signing = self.signed.is_some();
    }

    /// The edits in force, oldest first.
    pub fn edits(&self) -> impl Iterator<Item = &Edit> {
        self.in_force.iter().map(|(_, e)| e)
    }

    /// The edit that undo would take back: the last one that changed something, for a look is not taken back.
    pub fn next_undo(&self) -> Option<&(u64, Edit)> {
        self.in_force.iter().rev().find(|(_, edit)| !matches!(edit, Edit::MarkRead { .. }))
    }

    /// The edit that redo would make again.
    pub fn next_redo(&self) -> Option<&(u64, Edit)> {
        self.undone.last()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::BeatClass;

    fn entry(seq: u64, action: Action) -> Entry {
        Entry { seq, at_utc_ms: 0, utc_offset_min: 0, reader: "A. Reader".into(), action }
    }

    fn relabel(sample: i64) -> Action {
        Action::Do(Edit::Relabel { beats: vec![sample], class: BeatClass::V })
    }

    fn sign() -> Action {
        Action::Sign(Signature {
            reader: "A".into(),
            role: "r".into(),
            meaning: "m".into(),
            manifest_sha256: String::new(),
        })
    }

    #[test]
    fn undo_and_redo_are_entries_and_restore_the_order() {
        let mut entries =
            vec![entry(1, relabel(10)), entry(2, relabel(20)), entry(3, Action::Undo { seq: 2 })];
        assert_eq!(Fold::of(&entries).in_force.len(), 1);
        assert_eq!(Fold::of(&entries).next_redo().map(|r| r.0), Some(2));
        entries.push(entry(4, Action::Redo { seq: 2 }));
        assert_eq!(Fold::of(&entries), Fold::of(&entries[..2]));
    }

    #[test]
    fn a_new_edit_forgets_what_could_be_redone() {
        let entries = [entry(1, relabel(10)), entry(2, Action::Undo { seq: 1 }), entry(3, relabel(30))];
        let fold = Fold::of(&entries);
        assert!(fold.next_redo().is_none());
        assert_eq!(fold.next_undo().map(|u| u.0), Some(3));
    }

    #[test]
    fn an_edit_after_signing_shows_as_changed_and_an_undo_of_nothing_does_not() {
        let mut entries = vec![entry(1, relabel(10)), entry(2, sign())];
        assert!(!Fold::of(&entries).changed_since_signing);
        entries.push(entry(3, Action::Undo { seq: 99 }));
        let fold = Fold::of(&entries);
        assert!(!fold.changed_since_signing);
        assert_eq!(fold.without_effect, [3]);
        entries.push(entry(4, Action::Undo { seq: 1 }));
        assert!(Fold::of(&entries).changed_since_signing);
    }

    #[test]
    fn to_have_looked_takes_no_redo_away_changes_no_signature_and_is_not_taken_back() {
        let look = Action::Do(Edit::MarkRead { span: crate::model::Span::new(0, 9) });
        let mut entries =
            vec![entry(1, relabel(10)), entry(2, relabel(20)), entry(3, Action::Undo { seq: 2 })];
        entries.extend([entry(4, sign()), entry(5, look)]);
        let fold = Fold::of(&entries);
        assert_eq!((fold.next_undo().map(|u| u.0), fold.next_redo().map(|r| r.0)), (Some(1), Some(2)));
        assert!(!fold.changed_since_signing && fold.in_force.len() == 2);
    }
}
