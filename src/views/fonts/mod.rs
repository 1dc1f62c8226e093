//! The two faces that every sheet is set in, and the licences they are carried under.
//!
//! The letters themselves come with the crate `epaint_default_fonts`. The licences, whole and as their owners wrote
//! them, stand beside this file: whoever passes the program on passes them on.

/// A face carried in the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Font {
    /// Its name.
    pub name: &'static str,
    /// The letters, as a TrueType file.
    pub bytes: &'static [u8],
    /// The copyright notice and the whole licence.
    pub licence: &'static str,
}

/// The reading face first, then the one with more letters.
pub const FONTS: [Font; 2] = [
    Font {
        name: "Ubuntu Light",
        bytes: epaint_default_fonts::UBUNTU_LIGHT,
        licence: include_str!("Ubuntu-Light.txt"),
    },
    Font {
        name: "Hack Regular",
        bytes: epaint_default_fonts::HACK_REGULAR,
        licence: include_str!("Hack-Regular.txt"),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use ttf_parser::{Face, name_id};

    fn said(bytes: &[u8], id: u16) -> String {
        let face = Face::parse(bytes, 0).unwrap();
        face.names().into_iter().filter(|n| n.name_id == id).find_map(|n| n.to_string()).unwrap()
    }

    #[test]
    fn each_face_is_called_what_it_calls_itself() {
        for font in FONTS {
            let whole = said(font.bytes, name_id::FULL_NAME);
            assert!(font.name.starts_with(whole.as_str()), "{} calls itself {whole}", font.name);
        }
    }

    #[test]
    fn the_copyright_of_each_face_heads_its_licence() {
        let [light, hack] = FONTS;
        assert!(light.licence.starts_with(said(light.bytes, name_id::COPYRIGHT_NOTICE).as_str()));
        assert!(light.licence.contains("FONT LICENCE Version 1.0") && light.licence.contains("TERMINATION"));
        let notice = said(hack.bytes, name_id::COPYRIGHT_NOTICE);
        assert!(notice.contains("Source Foundry Authors"), "{notice}");
        assert!(hack.licence.contains("Copyright (c) 2018 Source Foundry Authors"));
        assert!(hack.licence.contains("BITSTREAM VERA LICENSE"));
    }
}
