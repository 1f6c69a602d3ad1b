//! A kit, its hours and its bill, worked by hand.

use kit::{
    Bill, Count, Group, Item, Kit, Need, Price, Rates, Spare, Stock, Terms, Time, Unit, Work, by_place, total,
};
use quantity::{Interval, Minutes, Money, Ratio};

fn resistor(value: &str) -> Item {
    Item {
        group: Group::Resistors,
        part: "resistor".to_owned(),
        value: value.to_owned(),
        what: "resistor".to_owned(),
        unit: Unit::Piece,
    }
}

fn module() -> Item {
    Item {
        group: Group::Equipment,
        part: "input-12".to_owned(),
        value: String::new(),
        what: "Input module".to_owned(),
        unit: Unit::Piece,
    }
}

fn need(item: Item, count: Count, place: &str, why: &str) -> Need {
    Need { item, count, place: place.to_owned(), why: why.to_owned() }
}

fn ladder() -> Item {
    Item {
        group: Group::Tools,
        part: "ladder".to_owned(),
        value: "3.4 m".to_owned(),
        what: "ladder".to_owned(),
        unit: Unit::Piece,
    }
}

fn terms(item: &Item) -> Terms {
    match item.group {
        Group::Resistors => Terms {
            price: Some(Price::exact(Money::of_hundredths(20))),
            spare: Spare { share: Ratio(0.25), least: 2 },
        },
        Group::Equipment => {
            Terms { price: Some(Price::exact(Money::of_hundredths(12_000))), spare: Spare::default() }
        }
        _ => Terms::default(),
    }
}

fn work(task: &'static str, enclosure: &str, place: &str, count: Count, minutes: (f64, f64)) -> Work {
    let time = Time::of_minutes(Interval::new(Minutes(minutes.0), Minutes(minutes.1)));
    Work {
        task,
        what: task.to_owned(),
        enclosure: enclosure.to_owned(),
        place: place.to_owned(),
        count,
        time: time.for_each(count, 1),
        part: (task == "module").then(|| ("input-12".to_owned(), String::new())),
    }
}

/// Hand-worked. 2.2k: one for C06, two for C07, and 0 to 9 on empty inputs: 3 to 12 needed. Spares 25 % of 12 = 3; 15 carried; the
/// van has 10; 5 to order. Price 3 x 0.20 = 0.60 to 12 x 0.20 = 2.40. One module 120.00.
/// Parts 120.60 to 122.40; margin 15 %: 18.09 to 18.36.
/// Time: module 27 to 40 min, two resistors at 15 to 30 min each: 57 to 100 min.
/// Labour at 95.00 an hour: 95 x 57/60 = 90.25 to 95 x 100/60 = 158.333.., up to 158.34.
/// Two technicians, 8 h a day: one day at either end; travel 60.00. Second visit 0 to 180.00.
/// Sum: 120.60 + 18.09 + 90.25 + 60.00 + 0 = 288.94; 122.40 + 18.36 + 158.34 + 60.00 + 180.00 = 539.10.
#[test]
fn a_module_and_its_resistors() {
    let needs = vec![
        need(resistor("2.2k"), Count::ONE, "C06", "at the end"),
        need(module(), Count::ONE, "M1", "reads 12 circuits"),
        need(resistor("2.2k"), Count::exact(2), "C07", "at the end"),
        need(ladder(), Count::ONE, "C07", "named in its access"),
        need(resistor("2.2k"), Count::between(0, 9), "M1", "on empty inputs"),
        need(resistor("4.7k"), Count::NONE, "C08", "nothing"),
    ];
    let work = vec![
        work("module", "E1", "M1", Count::ONE, (27.0, 40.0)),
        work("resistor-at-device", "E1", "C06", Count::ONE, (15.0, 30.0)),
        work("resistor-at-device", "E1", "C07", Count::ONE, (15.0, 30.0)),
    ];
    let stock = [
        Stock { part: "resistor".to_owned(), value: "2.2k".to_owned(), count: Some(10) },
        Stock { part: "resistor".to_owned(), value: "1k".to_owned(), count: Some(10) },
    ];
    let kit = Kit::of(needs, &terms, &stock, &work);
    let groups: Vec<Group> = kit.lines.iter().map(|line| line.item.group).collect();
    assert_eq!(groups, [Group::Equipment, Group::Resistors, Group::Tools], "nothing of which none is needed");
    let line = &kit.lines[1];
    assert_eq!((line.needed, line.spares, line.from_van, line.to_order), (Count::between(3, 12), 3, 10, 5));
    assert_eq!(line.price.map(Price::written).as_deref(), Some("0.60 to 2.40"));
    assert_eq!(line.places(), ["C06", "C07", "M1"]);
    assert_eq!(line.reasons(), [("at the end", vec!["C06", "C07"]), ("on empty inputs", vec!["M1"])]);
    assert_eq!(kit.lines[0].time.written(), "27 to 40 min");
    assert_eq!((kit.lines[2].price, kit.lines[2].to_order), (None, 0), "a tool is not sold");
    assert_eq!(kit.without_price().count(), 0);

    let rates = Rates {
        hour: Money::of_number(95.0),
        crew: 2,
        day_s: 8 * 3_600,
        travel: Money::of_hundredths(6_000),
        second_visit: Money::of_hundredths(18_000),
        margin: Ratio(0.15),
    };
    let bill = Bill::of(kit.price(), total(&work), &rates, true);
    assert_eq!(bill.parts.written(), "120.60 to 122.40");
    assert_eq!(bill.margin.written(), "18.09 to 18.36");
    assert_eq!(bill.labour.map(Price::written).as_deref(), Some("90.25 to 158.34"));
    assert_eq!((bill.days, bill.travel.written().as_str()), ((1, 1), "60.00"));
    assert_eq!(bill.total.written(), "288.94 to 539.10");
    let places = by_place(&work);
    assert_eq!(places.len(), 1);
    assert_eq!((&places[0].1[1].places, places[0].1[1].count), (&vec!["C06", "C07"], Count::exact(2)));
    assert_eq!(places[0].1[1].time.written(), "30 to 60 min");
}

/// A survey of 36 circuits at 45 to 75 min for 16: 2,700 s x 36 / 16 = 6,075 s and 4,500 s x 36 / 16 = 10,125 s.
#[test]
fn a_time_for_so_many_at_once() {
    let sixteen = Time::of_minutes(Interval::new(Minutes(45.0), Minutes(75.0)));
    assert_eq!(sixteen.for_each(Count::exact(36), 16), Time::seconds(6_075, 10_125));
    assert_eq!(sixteen.for_each(Count::exact(36), 16).written(), "1.6 to 2.9 h");
    // 2,700 / 16 = 168.75 and 4,500 / 16 = 281.25: outwards.
    assert_eq!(sixteen.for_each(Count::ONE, 16), Time::seconds(168, 282));
}

/// A resistor that the van carries and that nobody has counted is not ordered, and says so.
#[test]
fn a_van_that_nobody_counted() {
    let stock = [Stock { part: "resistor".to_owned(), value: "2.2k".to_owned(), count: None }];
    let kit = Kit::of(vec![need(resistor("2.2k"), Count::exact(3), "C01", "x")], &terms, &stock, &[]);
    assert_eq!((kit.lines[0].uncounted, kit.lines[0].from_van, kit.lines[0].to_order), (true, 5, 0));
}
