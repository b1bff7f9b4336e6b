//! What stands on the disk: the session file and who writes it, exports, a file that another
//! program writes, and how a file is replaced as a whole.

pub mod bounded;
pub mod export;
pub mod journal_writer;
pub mod session_file;
pub mod tail;
pub mod whole;
