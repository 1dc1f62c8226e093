//! What would help is sent as data beside its words: doing as it says helps.

use serde_json::{Value, json};

use crate::asked::Page;

const QUILT: &str = "title = \"Wide\"\n[machine]\nhoops = [\"240 x 240 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 2\n\
    block = \"9in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"cross-hatch\"\nsettings = [\"spacing=3in\"]\n";

fn remedied(answer: &Value) -> Vec<&Value> {
    answer["warnings"].as_array().unwrap().iter().filter(|told| told["remedy"].is_object()).collect()
}

#[test]
fn the_setting_that_is_sent_closes_the_gap_of_a_block() {
    let page = Page::open();
    let with = |spacing: &str| {
        let design = json!({"motif": "cross-hatch", "shape": {"option": "square", "value": "9in"}, "settings": {"spacing": spacing}});
        page.post("/api/draw", &json!({"design": design, "advice": true})).json()
    };
    let wide = with("3in");
    assert_eq!(wide["figures"]["gap_held"], false);
    let [told] = remedied(&wide)[..] else { panic!("{}", wide["warnings"]) };
    assert_eq!(told["remedy"]["setting"], "spacing");
    let closer = with(told["remedy"]["value"].as_str().unwrap());
    assert_eq!(closer["figures"]["gap_held"], true, "{told}");
    assert_eq!(remedied(&closer), [&Value::Null; 0]);
}

#[test]
fn a_quilt_s_warnings_name_their_pieces_apart_from_their_words() {
    let page = Page::open();
    let asked = |toml: &str| page.post("/api/quilt", &json!({"toml": toml})).json();
    let wide = asked(QUILT);
    let told = remedied(&wide);
    let setting = told.iter().find(|told| told["remedy"]["setting"] == "spacing");
    let setting = setting.unwrap_or_else(|| panic!("{}", wide["warnings"]));
    assert_eq!(setting["pieces"], json!([wide["places"][0]["name"]]));
    assert!(setting["text"].as_str().unwrap().starts_with("With settings = "), "{setting}");
    let pair = format!("spacing={}", setting["remedy"]["value"].as_str().unwrap());
    let closer = asked(&QUILT.replace("spacing=3in", &pair));
    assert!(
        remedied(&closer).iter().all(|told| told["remedy"]["setting"].is_null()),
        "{}",
        closer["warnings"]
    );
}
