//! What parts look like.

use super::generated::score;

#[test]
fn nothing() {
    let Ok(seed) = std::env::var("SEED") else { return };
    let (from, to) = seed.split_once('-').unwrap();
    for seed in from.parse::<u64>().unwrap()..to.parse().unwrap() {
        let text = score(seed);
        if let Err(why) = super::laws::judge_all(&super::laws::desk(&text)) {
            println!("SEED {seed} WHY {}", why.lines().take(4).collect::<Vec<_>>().join(" "));
        }
    }
}
