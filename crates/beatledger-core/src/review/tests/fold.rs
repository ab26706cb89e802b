//! The fold of the ledger: order, undo, redo and signatures.

use super::*;

fn relabelled(sample: i64) -> Action {
    Action::Do(relabel(&[sample], BeatClass::V))
}

fn sign(role: &str) -> Action {
    Action::Sign(Signature {
        reader: "A. Reader".into(),
        role: role.into(),
        meaning: "reviewed and approved".into(),
        manifest_sha256: "00".repeat(32),
    })
}

fn undo(seq: u64) -> Action {
    Action::Undo { seq }
}

fn redo(seq: u64) -> Action {
    Action::Redo { seq }
}

/// Entries numbered from 1.
fn fold(actions: &[Action]) -> Fold {
    let entries: Vec<_> = (1..).zip(actions).map(|(seq, action)| entry(seq, action.clone())).collect();
    Fold::of(&entries)
}

fn numbers(edits: &[(u64, Edit)]) -> Vec<u64> {
    edits.iter().map(|(seq, _)| *seq).collect()
}

/// An edit that is made again stands where it stood, or a later edit would no longer win.
#[test]
fn redo_puts_an_edit_back_where_it_was_in_whatever_order_it_comes() {
    let mut actions = vec![relabelled(10), relabelled(20), relabelled(30)];
    actions.extend([undo(3), undo(1), redo(3)]);
    assert_eq!(numbers(&fold(&actions).in_force), [2, 3]);
    actions.push(redo(1));
    let after = fold(&actions);
    assert_eq!(numbers(&after.in_force), [1, 2, 3]);
    let targets: Vec<_> = after.edits().cloned().collect();
    assert_eq!(targets, [10, 20, 30].map(|sample| relabel(&[sample], BeatClass::V)));
    assert!(after.undone.is_empty() && after.without_effect.is_empty());
}

#[test]
fn undo_takes_back_the_last_edit_first_and_redo_the_last_undone_first() {
    let mut actions = vec![relabelled(10), relabelled(20), relabelled(30)];
    let next = |actions: &[Action]| {
        let fold = fold(actions);
        (fold.next_undo().map(|u| u.0), fold.next_redo().map(|r| r.0))
    };
    assert_eq!(next(&actions), (Some(3), None));
    actions.push(undo(3));
    assert_eq!(next(&actions), (Some(2), Some(3)));
    actions.push(undo(2));
    assert_eq!(next(&actions), (Some(1), Some(2)));
    actions.push(redo(2));
    assert_eq!(next(&actions), (Some(2), Some(3)));
    actions.push(relabelled(40));
    assert_eq!(next(&actions), (Some(7), None), "what was undone cannot come back after a new edit");
    actions.push(redo(3));
    let after = fold(&actions);
    assert_eq!((numbers(&after.in_force), after.without_effect), (vec![1, 2, 7], vec![8]));
}

#[test]
fn undo_and_redo_of_what_is_not_there_are_kept_as_without_effect() {
    let after = fold(&[relabelled(10), sign("r"), undo(1), undo(1), undo(2), redo(9), redo(1), redo(1)]);
    assert_eq!(after.without_effect, [4, 5, 6, 8]);
    assert_eq!((numbers(&after.in_force), after.undone.len()), (vec![1], 0));
}

#[test]
fn a_signature_stays_the_last_one_and_every_edit_undo_and_redo_after_it_shows_as_changed() {
    let mut actions = vec![relabelled(10)];
    assert!(!fold(&actions).changed_since_signing, "nothing is signed yet");
    let mut step = |action: Action, signed: Option<(u64, &str)>, changed: bool| {
        actions.push(action);
        let fold = fold(&actions);
        let by = fold.signed.as_ref().map(|(seq, s)| (*seq, s.role.as_str()));
        assert_eq!((by, fold.changed_since_signing), (signed, changed), "after {} entries", actions.len());
    };
    step(sign("technician"), Some((2, "technician")), false);
    step(undo(7), Some((2, "technician")), false);
    step(undo(1), Some((2, "technician")), true);
    step(sign("physician"), Some((5, "physician")), false);
    step(redo(1), Some((5, "physician")), true);
    step(sign("cardiologist"), Some((7, "cardiologist")), false);
    step(relabelled(20), Some((7, "cardiologist")), true);
    step(undo(99), Some((7, "cardiologist")), true);
}
