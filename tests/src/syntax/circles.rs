//! Files that name one another in a circle.

use super::Crate;

/// Groups of files, by name, in which each leads to every other by what it names; a file alone is none.
pub fn circles(krate: &Crate) -> Vec<Vec<String>> {
    let n = krate.files.len();
    let named: Vec<Vec<usize>> =
        (0..n).map(|i| if krate.files[i].is_test { Vec::new() } else { krate.named_by(i) }).collect();
    let reached: Vec<Vec<bool>> = (0..n).map(|i| reach(&named, i)).collect();
    let mut in_one = vec![false; n];
    let mut out = Vec::new();
    for i in 0..n {
        if in_one[i] {
            continue;
        }
        let group: Vec<usize> = (0..n).filter(|j| reached[i][*j] && reached[*j][i]).collect();
        if group.len() > 1 {
            group.iter().for_each(|j| in_one[*j] = true);
            out.push(group.iter().map(|j| krate.files[*j].name.clone()).collect());
        }
    }
    out
}

fn reach(named: &[Vec<usize>], from: usize) -> Vec<bool> {
    let mut seen = vec![false; named.len()];
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        for next in &named[at] {
            if !seen[*next] {
                seen[*next] = true;
                open.push(*next);
            }
        }
    }
    seen
}
