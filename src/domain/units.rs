//! Weights and temperatures in the units in which people read them.
//!
//! Kept are whole grams and degrees Celsius. The others are exact by definition: a pound is 0.453 592 37 kg and
//! has sixteen ounces (international yard and pound agreement, 1959); °F = °C × 9/5 + 32 (NIST SP 811, B.8).

use crate::{fault::Fault, record::words::words};
use catalogue::{Text, figure, said};
use chrono::NaiveDateTime;
use serde_json::{Map, Value};

/// Grams of a kilogram.
pub const GRAMS_PER_KILOGRAM: f64 = 1000.0;
/// Grams of a pound.
pub const GRAMS_PER_POUND: f64 = 453.592_37;
/// Ounces of a pound.
pub(crate) const OUNCES_PER_POUND: f64 = 16.0;
/// Grams of an ounce.
pub const GRAMS_PER_OUNCE: f64 = GRAMS_PER_POUND / OUNCES_PER_POUND;

words! {
    /// In what a kennel reads weights.
    WeightUnit {
        /// Grams.
        G = "g",
        /// Kilograms.
        Kg = "kg",
        /// Pounds and ounces.
        LbOz = "lb_oz",
    }
}

impl Default for WeightUnit {
    /// As weights are kept.
    fn default() -> Self {
        Self::G
    }
}

words! {
    /// In what a kennel reads temperatures.
    TemperatureUnit {
        /// Degrees Celsius.
        C = "c",
        /// Degrees Fahrenheit.
        F = "f",
    }
}

/// A figure with its sign, be it a plus.
pub(crate) fn signed(value: f64, digits: u8) -> Text {
    let below = value < -0.5 * 10_f64.powi(-i32::from(digits));
    let sign = if below { "minus" } else { "plus" };
    said!("growth-signed", sign = sign, figure = figure(value, digits))
}

/// A day and a time of it, to the second.
pub fn moment(at: NaiveDateTime) -> Text {
    said!("pregnancy-moment", day = at.date(), time = at.format("%H:%M:%S").to_string())
}

/// °C of a temperature in °F.
pub fn celsius_from_fahrenheit(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// °F of a temperature in °C.
pub(crate) fn fahrenheit_from_celsius(celsius: f64) -> f64 {
    celsius * 9.0 / 5.0 + 32.0
}

/// °C as they are kept of a reading in °F: to the hundredth, since a tenth of a degree Fahrenheit is less than
/// a tenth of one Celsius.
pub(crate) fn kept_celsius(fahrenheit: f64) -> f64 {
    (celsius_from_fahrenheit(fahrenheit) * 100.0).round() / 100.0
}

/// A weight as somebody stated it: in one unit, or in pounds and ounces that are added up.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct StatedWeight {
    /// Whole grams.
    pub g: Option<i32>,
    /// Kilograms.
    pub kg: Option<f64>,
    /// Pounds.
    pub lb: Option<f64>,
    /// Ounces.
    pub oz: Option<f64>,
}

/// What is wrong with a stated weight: the unit at fault, and why.
pub type WrongWeight = (&'static str, Text);

impl StatedWeight {
    /// The weight in whole grams, the nearest (a half is rounded up); `None` where nothing is stated.
    ///
    /// # Errors
    /// Two units that do not belong together, or a weight that is not from `least` to `most` grams.
    ///
    /// ```
    /// use domain::units::StatedWeight;
    /// let stated = StatedWeight { lb: Some(1.0), oz: Some(4.5), ..StatedWeight::default() };
    /// assert_eq!(stated.grams(20, 150_000), Ok(Some(581))); // 453.59237 + 4.5 × 28.349523125 = 581.165…
    /// ```
    pub fn grams(self, least: i32, most: i32) -> Result<Option<i32>, WrongWeight> {
        let stated = [self.g.map(f64::from), self.kg, self.lb.or(self.oz)];
        let unit = match stated {
            [None, None, None] => return Ok(None),
            [Some(_), None, None] => "g",
            [None, Some(_), None] => "kg",
            [None, None, Some(_)] if self.lb.is_some() => "lb",
            [None, None, Some(_)] => "oz",
            [None, Some(_), Some(_)] => {
                return Err(("kg", said!("fault-not-together-weight-units")));
            }
            [Some(_), ..] => return Err(("g", said!("fault-not-together-weight-units"))),
        };
        let grams = self.nearest_gram();
        let below = [self.kg, self.lb, self.oz].into_iter().flatten().any(|part| part < 0.0);
        if below || !(f64::from(least)..=f64::from(most)).contains(&grams) {
            let wrong = said!(
                "fault-out-of-range-stated-weight",
                weight_g = figure(grams, 0),
                least_g = least,
                most_g = most
            );
            return Err((unit, wrong));
        }
        #[expect(clippy::cast_possible_truncation, reason = "in the range of two i32")]
        Ok(Some(grams as i32))
    }

    /// All that is stated, added up and rounded.
    fn nearest_gram(self) -> f64 {
        let parts = [self.g.map(f64::from), self.kg, self.lb, self.oz];
        let [g, kg, lb, oz] = parts.map(|part| part.unwrap_or(0.0));
        let ounces = lb * OUNCES_PER_POUND + oz;
        (g + kg * GRAMS_PER_KILOGRAM + ounces * GRAMS_PER_OUNCE).round()
    }
}

/// A field that is kept in one unit, and the fields by which a body may state it in others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnitField {
    /// The field that is kept and answered.
    pub kept: &'static str,
    /// What it is taken from instead.
    pub stated: &'static [&'static str],
}

/// The fields of records that a person may state in another unit.
pub const UNIT_FIELDS: [UnitField; 3] = [
    UnitField { kept: "weight_g", stated: &["weight_kg", "weight_lb", "weight_oz"] },
    UnitField { kept: "adult_weight_g", stated: &["adult_weight_kg", "adult_weight_lb"] },
    UnitField { kept: "temperature_c", stated: &["temperature_f"] },
];

impl UnitField {
    /// Puts what is stated in another unit into the field that is kept; gives the field that stated it.
    ///
    /// # Errors
    /// Two units that do not belong together, at the one that is too many, or what is no number.
    pub fn settle(&self, body: &mut Map<String, Value>) -> Result<Option<&'static str>, Fault> {
        let given = |field: &str| body.get(field).filter(|value| !value.is_null());
        let mut named = self.stated.iter().copied().filter(|field| given(field).is_some());
        let Some(first) = named.next() else {
            body.retain(|field, _| !self.stated.contains(&field.as_str()));
            return Ok(None);
        };
        let others: Vec<&str> = named.collect();
        let together = first.ends_with("_lb") && others == ["weight_oz"];
        if given(self.kept).is_some() || !(others.is_empty() || together) {
            let pointer = format!("/{}", if others.is_empty() { first } else { others[0] });
            return Err(Fault::new(pointer, said!("fault-not-together-weight-units")));
        }
        let number = |end: &str| -> Result<Option<f64>, Fault> {
            let field = self.stated.iter().copied().find(|field| field.ends_with(end));
            let Some((field, value)) = field.and_then(|field| Some((field, given(field)?))) else {
                return Ok(None);
            };
            let wrong = || Fault::new(format!("/{field}"), said!("fault-wrong-type-number"));
            value.as_f64().map(Some).ok_or_else(wrong)
        };
        let kept = match number("_f")? {
            Some(fahrenheit) => Value::from(kept_celsius(fahrenheit)),
            None => {
                let [kg, lb, oz] = [number("_kg")?, number("_lb")?, number("_oz")?];
                let grams = StatedWeight { g: None, kg, lb, oz }.nearest_gram();
                #[expect(clippy::cast_possible_truncation, reason = "out of range it is refused")]
                Value::from(grams as i64)
            }
        };
        body.retain(|field, _| !self.stated.contains(&field.as_str()));
        body.insert(self.kept.to_owned(), kept);
        Ok(Some(first))
    }
}

/// A weight as a person reads it: `431 g`, `12.30 kg`, `1 lb 4.5 oz`.
pub fn weight_in_words(grams: f64, unit: WeightUnit) -> String {
    match unit {
        WeightUnit::G => format!("{grams:.0} g"),
        WeightUnit::Kg => {
            // Grams count while it is a pup.
            let digits = if grams < 10_000.0 { 3 } else { 2 };
            format!("{:.digits$} kg", grams / GRAMS_PER_KILOGRAM)
        }
        WeightUnit::LbOz => {
            // In tenths of an ounce, so that no part is rounded to sixteen.
            let tenths = (grams / GRAMS_PER_OUNCE * 10.0).round();
            let pounds = (tenths / (10.0 * OUNCES_PER_POUND)).floor();
            let ounces = tenths / 10.0 - pounds * OUNCES_PER_POUND;
            if pounds > 0.0 {
                format!("{pounds:.0} lb {ounces:.1} oz")
            } else {
                format!("{ounces:.1} oz")
            }
        }
    }
}

/// A temperature as a person reads it: `38.2 °C`, `100.8 °F`.
pub(crate) fn temperature_in_words(celsius: f64, unit: TemperatureUnit) -> String {
    match unit {
        TemperatureUnit::C => format!("{celsius:.1} °C"),
        TemperatureUnit::F => format!("{:.1} °F", fahrenheit_from_celsius(celsius)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_rational::BigRational;
    use num_traits::ToPrimitive as _;
    use proptest::prelude::*;
    use serde_json::json;

    fn grams(
        kg: Option<f64>,
        lb: Option<f64>,
        oz: Option<f64>,
    ) -> Result<Option<i32>, WrongWeight> {
        StatedWeight { g: None, kg, lb, oz }.grams(1, 150_000)
    }

    /// The definition: 1 lb = 0.45359237 kg, 1 lb = 16 oz; water freezes at 32 °F and boils at 212 °F.
    #[test]
    fn units_are_what_they_are_defined_as() {
        assert_eq!(GRAMS_PER_POUND, 453.592_37);
        assert_eq!(GRAMS_PER_OUNCE, 28.349_523_125);
        for (celsius, fahrenheit) in [(0.0, 32.0), (100.0, 212.0), (-40.0, -40.0), (37.0, 98.6)] {
            assert!((fahrenheit_from_celsius(celsius) - fahrenheit).abs() < 1e-9);
            assert!((celsius_from_fahrenheit(fahrenheit) - celsius).abs() < 1e-9);
        }
        assert_eq!(kept_celsius(100.8), 38.22);
    }

    #[test]
    fn a_weight_is_rounded_to_the_gram() {
        assert_eq!(grams(Some(0.431), None, None), Ok(Some(431)));
        assert_eq!(grams(Some(0.4315), None, None), Ok(Some(432)), "a half goes up");
        assert_eq!(grams(None, Some(1.0), None), Ok(Some(454)));
        assert_eq!(grams(None, None, Some(16.0)), Ok(Some(454)));
        assert_eq!(grams(None, Some(1.0), Some(4.5)), Ok(Some(581)));
        assert_eq!(grams(None, None, None), Ok(None));
    }

    #[test]
    fn one_unit_states_it_and_the_range_has_ends() {
        let unit = |stated: StatedWeight| stated.grams(20, 2000).map_err(|(unit, _)| unit);
        let none = StatedWeight::default();
        assert_eq!(unit(StatedWeight { g: Some(1), kg: Some(1.0), ..none }), Err("g"));
        assert_eq!(unit(StatedWeight { kg: Some(1.0), oz: Some(1.0), ..none }), Err("kg"));
        assert_eq!(unit(StatedWeight { g: Some(500), lb: Some(1.0), ..none }), Err("g"));
        for (kg, whole) in
            [(0.0194, None), (0.0195, Some(20)), (2.0004, Some(2000)), (2.0005, None)]
        {
            let found = unit(StatedWeight { kg: Some(kg), ..none });
            assert_eq!(found, whole.map(Some).ok_or("kg"), "{kg} kg");
        }
        assert_eq!(unit(StatedWeight { lb: Some(2.0), oz: Some(-4.0), ..none }), Err("lb"));
        assert_eq!(unit(StatedWeight { lb: Some(f64::NAN), ..none }), Err("lb"));
        assert_eq!(unit(StatedWeight { oz: Some(f64::INFINITY), ..none }), Err("oz"));
    }

    #[test]
    fn a_sign_stands_before_each_figure() {
        for (value, words) in [(2.14, "+2.1"), (-2.14, "-2.1"), (-0.04, "+0.0"), (-0.06, "-0.1")] {
            assert_eq!(signed(value, 1), words);
        }
    }

    #[test]
    fn figures_read_as_people_read_them() {
        let texts = |grams| WeightUnit::ALL.iter().map(move |unit| weight_in_words(grams, *unit));
        assert_eq!(texts(431.0).collect::<Vec<_>>(), ["431 g", "0.431 kg", "15.2 oz"]);
        assert_eq!(texts(28_000.0).collect::<Vec<_>>(), ["28000 g", "28.00 kg", "61 lb 11.7 oz"]);
        assert_eq!(weight_in_words(453.0, WeightUnit::LbOz), "1 lb 0.0 oz", "never 16.0 oz");
        assert_eq!(temperature_in_words(38.2, TemperatureUnit::C), "38.2 °C");
        assert_eq!(temperature_in_words(38.2, TemperatureUnit::F), "100.8 °F");
    }

    #[test]
    fn a_body_states_a_figure_in_one_unit() {
        let [weight, adult, temperature] = UNIT_FIELDS;
        let settled = |field: UnitField, body: Value| {
            let mut body = body.as_object().cloned().unwrap();
            field.settle(&mut body).map(|from| (from, Value::Object(body))).map_err(|f| f.pointer)
        };
        for (field, body, from, kept) in [
            (weight, json!({"weight_kg": 1.2}), Some("weight_kg"), json!({"weight_g": 1200})),
            (
                weight,
                json!({"weight_lb": 1, "weight_oz": 4.5}),
                Some("weight_lb"),
                json!({"weight_g": 581}),
            ),
            (
                weight,
                json!({"weight_oz": 15.2, "weight_g": null}),
                Some("weight_oz"),
                json!({"weight_g": 431}),
            ),
            (weight, json!({"weight_g": 431, "weight_kg": null}), None, json!({"weight_g": 431})),
            (weight, json!({"note": "x"}), None, json!({"note": "x"})),
            (weight, json!({"weight_kg": -1}), Some("weight_kg"), json!({"weight_g": -1000})),
            (
                adult,
                json!({"adult_weight_lb": 61.7}),
                Some("adult_weight_lb"),
                json!({"adult_weight_g": 27987}),
            ),
            (
                temperature,
                json!({"temperature_f": 98.6}),
                Some("temperature_f"),
                json!({"temperature_c": 37.0}),
            ),
        ] {
            assert_eq!(settled(field, body.clone()), Ok((from, kept)), "{body}");
        }
        for (field, body, at) in [
            (weight, json!({"weight_g": 431, "weight_kg": 1}), "/weight_kg"),
            (weight, json!({"weight_lb": 1, "weight_oz": "4.5"}), "/weight_oz"),
            (weight, json!({"weight_kg": 1, "weight_oz": 1}), "/weight_oz"),
            (weight, json!({"weight_g": 431, "weight_lb": 1, "weight_oz": 1}), "/weight_oz"),
            (temperature, json!({"temperature_c": 37, "temperature_f": 98.6}), "/temperature_f"),
        ] {
            assert_eq!(settled(field, body.clone()), Err(at.to_owned()), "{body}");
        }
    }

    proptest! {
        /// Against the definition in exact fractions.
        #[test]
        fn pounds_and_ounces_are_exact(lb in 0u32..300, tenths in 0u32..160) {
            let whole = |n: i64| BigRational::from_integer(n.into());
            let ounces = whole(i64::from(lb) * 16) + whole(i64::from(tenths)) / whole(10);
            let exact = ounces * whole(45_359_237) / whole(100_000) / whole(16);
            let expected = exact.round().to_i32().unwrap();
            let ounces = f64::from(tenths) / 10.0;
            let found = StatedWeight { lb: Some(lb.into()), oz: Some(ounces), ..StatedWeight::default() };
            prop_assert_eq!(found.grams(0, 150_000), Ok(Some(expected)));
        }
    }
}
