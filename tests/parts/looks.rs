//! What parts look like.

use super::generated::score;

#[test]
fn nothing() {
    for seed in 0..3 {
        println!("{}", score(seed));
    }
}
