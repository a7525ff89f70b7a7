//! What is pointed out, and above all what is not. All names and numbers are invented.

use super::*;

/// The hits as kind and text.
fn found(text: &str) -> Vec<(Kind, &str)> {
    find(text)
        .into_iter()
        .map(|hit| (hit.kind, &text[hit.range]))
        .collect()
}

#[test]
fn check_digits_of_nhs_numbers() {
    // Vector worked out from the rule of the NHS Data Dictionary: 9991234578 passes, and no last
    // digit fits 999123456, because the rule gives 10.
    assert!(is_nhs_number("9991234578"));
    assert!((0..10).all(|last| !is_nhs_number(&format!("999123456{last}"))));
    let passing = (0..10).filter(|last| is_nhs_number(&format!("999123457{last}")));
    assert_eq!(
        passing.collect::<Vec<_>>(),
        [8],
        "one last digit and no other"
    );
    for bad in [
        "",
        "999123457",
        "99912345788",
        "999123457x",
        "999 123 4578",
        "٩٩٩١٢٣٤٥٧٨",
    ] {
        assert!(!is_nhs_number(bad), "{bad}");
    }
}

#[test]
fn one_number_in_eleven_passes() {
    // Over a full set of residues the rule lets 10 of 110 pass, so it can only be a warning.
    let passing = (0..11_000_u64)
        .filter(|n| is_nhs_number(&format!("{:010}", 4_000_000_000 + n)))
        .count();
    assert!((950..=1_050).contains(&passing), "{passing}");
}

#[test]
fn ordinary_bedside_text_is_never_pointed_out() {
    for text in [
        "20 cmH2O",
        "20 cmH₂O, -2 kPa, 14.7 mmHg",
        "1500 mL",
        "1500 1450 1400 mL",
        "04:10",
        "0410 0500 0600",
        "at 0410 1500 mL, at 0510 1620 mL",
        "0410 120 88 37",
        "AB, RN",
        "RN: AB",
        "by AB, RN at 04:10 on 2026-10-25",
        "2026-10-25 01:30",
        "2026-10-25T01:30:00+01:00",
        "25/10/2026 01:30",
        "25 October 2026",
        "Inserted 03.04.2026, size 24 Fr",
        "BP 120/80, HR 112, RR 24, SpO2 94%",
        "BP 120/80/40",
        "SpO2 94 % on 2 L/min",
        "call 2222",
        "Crash team 2222, bleep 1234",
        "phone 2222 twice",
        "100 200 300 400 mL",
        "20-30-40",
        "30 mL/kg in 4 h",
        "Bed 12, bay 3, left side",
        "Level moves with each breath. Mr scan done",
        "Dr called and told",
        "Dr On Call informed",
        "miss dose",
        "MS patient",
        "patient: comfortable",
        "patient: Comfortable, no pain",
        "file name: no-swing.yaml",
        "Ward name: Elm",
        "unit name: Birch",
        "checklist no-swing 1.0.0",
        "step 3 of 12",
        "UN1972",
        "record number missing",
        "hospital policy 2019, section 3",
        "born again",
        "DOB not recorded",
        "drain 28 Fr, 1-2-1 care",
        "sha256 e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
        "weight 3.250 kg, 12.5 mL/kg/h",
        "5 May 2026: 1-2 May was better",
        "tel: see board",
        "@ 04:10",
        "20 @ 30.5",
        "",
    ] {
        assert_eq!(found(text), [], "{text}");
    }
}

#[test]
fn names_after_a_title_are_pointed_out() {
    for (text, name) in [
        ("Mrs Testcase is worse", "Testcase"),
        ("told Mr. O'Example at 04:10", "O'Example"),
        ("mr sample", "sample"),
        ("MR SAMPLE in bed 4", "SAMPLE"),
        ("Ms Ängel-Muster", "Ängel-Muster"),
        ("seen by Dr Sample Testcase, agreed", "Sample Testcase"),
        ("Miss Sample.", "Sample"),
    ] {
        assert_eq!(found(text), [(Kind::Name, name)], "{text}");
    }
}

#[test]
fn names_in_fields_are_pointed_out() {
    for (text, name) in [
        ("name: sample testcase", "sample"),
        ("Name: Sample Testcase", "Sample Testcase"),
        ("patient name = Sample T Testcase", "Sample T Testcase"),
        ("SURNAME: TESTCASE", "TESTCASE"),
        ("the patient's name is Sample", "Sample"),
        ("a man named Sample", "Sample"),
        ("Patient: Sample Testcase", "Sample Testcase"),
        ("name:\tSample", "Sample"),
    ] {
        assert_eq!(found(text), [(Kind::Name, name)], "{text}");
    }
}

#[test]
fn record_numbers_are_pointed_out() {
    for (text, number) in [
        ("9991234578", "9991234578"),
        ("NHS 999 123 4578", "999 123 4578"),
        ("999-123-4578 on the label", "999-123-4578"),
        ("NHS no: 9991234567", "9991234567"),
        ("MRN 00123456", "00123456"),
        ("MRN: AB-12345", "AB-12345"),
        ("hospital number is K4471", "K4471"),
        ("Hosp. no. 44718", "44718"),
        ("patient id #123456", "123456"),
        ("K1234567 in bed 3", "K1234567"),
        ("SSN 987-65-4329", "987-65-4329"),
        ("987-65-4329", "987-65-4329"),
    ] {
        assert_eq!(found(text), [(Kind::RecordNumber, number)], "{text}");
    }
    assert_eq!(
        found("9991234560"),
        [],
        "no check digit fits, and nothing else says so"
    );
}

#[test]
fn birth_dates_are_pointed_out() {
    for (text, date) in [
        ("DOB 03/04/1951", "03/04/1951"),
        ("dob: 3.4.51", "3.4.51"),
        ("D.O.B. 2019-02-28", "2019-02-28"),
        ("date of birth: 3 April 2019", "3 April 2019"),
        ("born 3 Apr 1951 in town", "3 Apr 1951"),
        ("born on April 3, 2019", "April 3, 2019"),
        ("1951-04-03", "1951-04-03"),
        ("3-Apr-1951", "3-Apr-1951"),
        ("seen 03/04/1951", "03/04/1951"),
    ] {
        assert_eq!(found(text), [(Kind::BirthDate, date)], "{text}");
    }
}

#[test]
fn telephone_numbers_are_pointed_out() {
    // Ofcom keeps 01632 960xxx, 020 7946 0xxx and 07700 900xxx for drama, and 555-01xx is kept
    // in North America (from memory).
    for (text, number) in [
        ("ring 01632 960123", "01632 960123"),
        ("020 7946 0123", "020 7946 0123"),
        ("07700900123", "07700900123"),
        ("07700 900 123 after six", "07700 900 123"),
        ("+44 7700 900123", "44 7700 900123"),
        ("+1-212-555-0123", "1-212-555-0123"),
        ("212-555-0123", "212-555-0123"),
        ("(212) 555-0123", "212) 555-0123"),
        ("tel: 960 0123", "960 0123"),
        ("mobile 7700900123", "7700900123"),
    ] {
        assert_eq!(found(text), [(Kind::Phone, number)], "{text}");
    }
}

#[test]
fn addresses_of_mail_are_pointed_out() {
    for (text, address) in [
        ("write to sample.t@example.org.", "sample.t@example.org"),
        ("a+b@ward.example.com, please", "a+b@ward.example.com"),
    ] {
        assert_eq!(found(text), [(Kind::Email, address)], "{text}");
    }
}

#[test]
fn hits_are_masked_and_the_rest_stays() {
    let text = "Mrs Testcase, DOB 03/04/1951, é 9991234578: clamp off at 04:10";
    let hits = find(text);
    assert_eq!(hits.len(), 3);
    assert_eq!(
        masked(text, &hits),
        "Mrs T*******, DOB 0*/**/****, é 9*********: clamp off at 04:10"
    );
    assert_eq!(masked(text, &[]), text);
}

proptest::proptest! {
    #[test]
    fn hits_are_apart_in_order_and_on_bounds(text in "(\\PC|[0-9 .()+-]|Mr |name: |dob |mrn |é|@a.bc){0,40}") {
        let hits = find(&text);
        let mut last = 0;
        for hit in &hits {
            proptest::prop_assert!(hit.range.start >= last && hit.range.start < hit.range.end);
            proptest::prop_assert!(text.get(hit.range.clone()).is_some());
            last = hit.range.end;
        }
        proptest::prop_assert_eq!(masked(&text, &hits).chars().count(), text.chars().count());
    }
}
