//! A page of the guide: its blocks of commands, with what each block's text says of them.
//!
//! A block of commands has the info string `sh`, and `sh exit 3` or `sh exit 0 3 4` where another
//! exit code than 0 is right. A block `text says` after it holds lines that the last command of it
//! prints. Words between backquotes that begin with the program's name are commands too. A block with
//! the info string `toml card.toml` is a file of that name.

use std::fs;
use std::path::{Path, PathBuf};

/// One page.
pub(crate) struct Page {
    pub(crate) path: PathBuf,
    pub(crate) text: String,
}

/// Commands that stand together.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Block {
    pub(crate) line: usize,
    /// Each one in words, the program's name first.
    pub(crate) commands: Vec<Vec<String>>,
    /// The exit codes of the last one that the page calls right; of those before it only 0 is.
    pub(crate) exits: Vec<u32>,
    /// Lines that the last one prints.
    pub(crate) says: Vec<String>,
}

const PROGRAM: &str = "lullboard";

impl Page {
    /// Every page below this folder.
    pub(crate) fn all(folder: &Path) -> Vec<Self> {
        let mut pages = Vec::new();
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                pages.extend(Self::all(&path));
            } else if path.extension().is_some_and(|ending| ending == "md") {
                let text = fs::read_to_string(&path).unwrap();
                pages.push(Self { path, text });
            }
        }
        pages.sort_by(|one, other| one.path.cmp(&other.path));
        pages
    }

    /// All its commands, in their order.
    pub(crate) fn blocks(&self) -> Vec<Block> {
        let mut blocks: Vec<Block> = Vec::new();
        let mut fence: Option<&str> = None;
        for (line, row) in (1..).zip(self.text.lines()) {
            if let Some(info) = row.trim_start().strip_prefix("```") {
                fence = if fence.is_some() {
                    assert_eq!(
                        info,
                        "",
                        "{}:{line}: a block in a block",
                        self.path.display()
                    );
                    None
                } else {
                    blocks.extend(self.opened(info, line));
                    Some(info)
                };
                continue;
            }
            match fence {
                None => blocks.extend(inline(row, line)),
                Some("text says") => {
                    let block = blocks.last_mut().unwrap();
                    block.says.push(row.to_owned());
                }
                Some(info) if info.starts_with("sh") => {
                    let block = blocks.last_mut().unwrap();
                    block.commands.push(words(row));
                }
                Some(info) => assert!(
                    !row.contains(PROGRAM),
                    "{}:{line}: a command in a block '{info}' that nobody runs",
                    self.path.display()
                ),
            }
        }
        assert!(fence.is_none(), "{}: a block is open", self.path.display());
        blocks
    }

    /// The block that this line opens, if it holds commands; any info string that is not known is
    /// refused.
    fn opened(&self, info: &str, line: usize) -> Option<Block> {
        let exits = match info.split_once(" exit ") {
            _ if matches!(info, "text" | "text says") || file_name(info).is_some() => return None,
            None if info == "sh" => vec![0],
            Some(("sh", codes)) => codes.split(' ').map(|code| code.parse().unwrap()).collect(),
            _ => panic!("{}:{line}: not known: '{info}'", self.path.display()),
        };
        Some(Block {
            line,
            exits,
            ..Block::default()
        })
    }

    /// The files that it shows, each with its name.
    pub(crate) fn files(&self) -> Vec<(&str, String)> {
        let mut files: Vec<(&str, String)> = Vec::new();
        let mut is_open = false;
        for row in self.text.lines() {
            if let Some(info) = row.strip_prefix("```") {
                let name = file_name(info);
                files.extend(name.map(|name| (name, String::new())));
                is_open = name.is_some();
            } else if is_open {
                let (_, text) = files.last_mut().unwrap();
                text.push_str(row);
                text.push('\n');
            }
        }
        files
    }

    /// The targets of its links and pictures.
    pub(crate) fn links(&self) -> Vec<&str> {
        let parts = self.text.split("](").skip(1);
        parts.map(|rest| rest.split_once(')').unwrap().0).collect()
    }
}

/// The name of the file that a block with this info string holds.
fn file_name(info: &str) -> Option<&str> {
    let (kind, name) = info.split_once(' ')?;
    (name.rsplit('.').next() == Some(kind)).then_some(name)
}

fn inline(row: &str, line: usize) -> Vec<Block> {
    let spans = row.split('`').skip(1).step_by(2);
    let begins = |span: &&str| span.split(' ').next() == Some(PROGRAM);
    spans
        .filter(begins)
        .map(|span| Block {
            line,
            commands: vec![words(span)],
            exits: vec![0],
            says: Vec::new(),
        })
        .collect()
}

/// The words of a command as every shell reads them: only double quotes are known, so that one line
/// does for sh, zsh, PowerShell and cmd.
fn words(row: &str) -> Vec<String> {
    const OTHERS: [char; 12] = ['\'', '\\', '$', '|', '<', '>', ';', '#', '*', '(', ')', '!'];
    assert!(!row.contains(OTHERS), "not plain in every shell: {row}");
    assert!(
        row.matches('"').count().is_multiple_of(2),
        "an open quote: {row}"
    );
    let mut words = Vec::new();
    for (n, part) in row.split('"').enumerate() {
        if n % 2 == 1 {
            words.push(part.to_owned());
        } else {
            assert!(!part.contains(['?', '&']), "to be quoted: {row}");
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}

/// Text with every run of blanks as one.
pub(crate) fn on_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
