use waterkey::brass::*;
#[test]
fn look() {
    for (n, k) in [
        ("trumpet", Some("Bb4")),
        ("euphonium", None),
        ("bass trombone", None),
        ("trombone", None),
        ("CC tuba", None),
        ("horn", Some("F4")),
        ("natural horn", Some("F4")),
    ] {
        let i = find(n, k.and_then(waterkey::music::Pitch::parse), None).unwrap().instrument;
        println!("== {}", i.name);
        for r in chart::chart(&i, 440.0) {
            println!(
                "{} {} {:?} {} p{} {:.0} | {}",
                r.written,
                r.concert,
                r.nature,
                r.usual.map_or("-".into(), |w| w.how.to_string()),
                r.usual.map_or(0, |w| w.partial),
                r.usual.map_or(0.0, |w| w.cents),
                r.others
                    .iter()
                    .map(|w| format!("{}/p{}/{:.0}/{:.2}", w.how, w.partial, w.cents, w.position))
                    .collect::<Vec<_>>()
                    .join(" ")
            );
        }
    }
    let t = std::time::Instant::now();
    for _ in 0..100 {
        let _ = find("CC tuba", None, None);
    }
    println!("{:?}", t.elapsed() / 100);
    println!("{}", find("tumpet", None, None).unwrap_err());
    println!("{}", find("tuba", None, None).unwrap_err());
    println!("{}", find("alto saxophone", None, None).unwrap_err());
    println!("{}", find("natural horn", None, None).unwrap_err());
    println!("{}", find("French horn", None, None).unwrap_err());
}
