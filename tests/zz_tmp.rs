//! tmp
use lullboard::rehearsal::{play, stories};
use lullboard::session::Session;
use lullboard::judge::judge;
#[test]
fn show() {
    for story in stories::ALL {
        let (h, es) = play(story, story.seed);
        let mut s = Session::new(h);
        es.iter().for_each(|e| s.apply(e));
        let j = judge(&s);
        println!("== {} readings {} span {} verdict {:?} {} slept {}", story.name, j.readings, j.span_s, j.verdict, j.verdict_why, j.slept);
        for p in &j.phases { println!("   {:?} {:.0}-{:.0} {:?}", p.phase, p.from.secs(), p.to.secs(), p.level.map(|l| (l.a, l.u_a))); }
        for t in &j.trials { println!("   T {:.0} {} {:?} {:?}->{:?} {:?} look {:?} {:?} {}", t.t.secs(), t.did, t.what, t.before.map(|l| l.a), t.after.map(|l| l.a), t.finding, t.first_look.map(|l|l.a), t.manner, t.why); }
        for w in &j.wakes { println!("   W {:.0}-{:.0} {:.2} {:.1}", w.from.secs(), w.to.secs(), w.peak_a, w.charge_as); }
        println!("   settled {:?} now {:?}", j.settled, j.now);
    }
}
