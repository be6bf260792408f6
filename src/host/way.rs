//! Ways from one file to another, as an `include` line writes them.

use std::path::{Component, Path, PathBuf};

/// Where a written way leads from a folder, without looking at the disk but for the folder it ends in, so
/// that a link is the file itself. `None` if it leads above the top or is no way from a folder.
pub fn place_of(folder: &Path, way: &str) -> Option<PathBuf> {
    let mut place = folder.to_path_buf();
    for component in Path::new(way).components() {
        match component {
            Component::Normal(name) => place.push(name),
            Component::CurDir => {}
            Component::ParentDir => {
                place.pop().then_some(())?;
            }
            Component::RootDir | Component::Prefix(_) => return None,
        }
    }
    Some(resolved(&place))
}

/// A path with the links of its folder resolved, its own last step as it is.
pub fn resolved(path: &Path) -> PathBuf {
    let folder = path.parent().and_then(|folder| folder.canonicalize().ok());
    folder.zip(path.file_name()).map_or_else(|| path.to_path_buf(), |(folder, name)| folder.join(name))
}

/// The way from a folder to a file, with `/`; `None` if it cannot be written on an `include` line.
pub fn way(folder: &Path, file: &Path) -> Option<String> {
    let shared = folder.components().zip(file.components()).take_while(|(a, b)| a == b).count();
    let up = folder.components().skip(shared).map(|_| Some(".."));
    let down = file.components().skip(shared).map(|step| step.as_os_str().to_str());
    let way = up.chain(down).collect::<Option<Vec<_>>>()?.join("/");
    let written =
        !way.is_empty() && !way.contains(|c: char| "\"\\:\u{201c}\u{201d}".contains(c) || c.is_control());
    written.then_some(way)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn up_and_down() {
        let way = |folder: &str, file: &str| way(Path::new(folder), Path::new(file));
        assert_eq!(way("/h/town", "/h/town/crew.brass").as_deref(), Some("crew.brass"));
        assert_eq!(way("/h/town/parts", "/h/crew.brass").as_deref(), Some("../../crew.brass"));
        assert_eq!(way("/h/town", "/h/quay/parts/low.brass").as_deref(), Some("../quay/parts/low.brass"));
        assert_eq!(way("/h", "/h/a\"b.brass"), None);
        assert_eq!(way("/h", "/h"), None);
    }

    proptest! {
        #[test]
        fn a_way_leads_where_it_should(
            folder in prop::collection::vec("[a-cé]{1,2}", 0..4),
            file in prop::collection::vec("[a-cé]{1,2}", 1..4),
        ) {
            let top = Path::new("/nowhere at all");
            let folder = folder.iter().fold(top.to_path_buf(), |path, step| path.join(step));
            let file = file.iter().fold(top.to_path_buf(), |path, step| path.join(step));
            if let Some(way) = way(&folder, &file).filter(|way| !way.ends_with("..")) {
                prop_assert_eq!(place_of(&folder, &way), Some(file));
            }
        }
    }
}
