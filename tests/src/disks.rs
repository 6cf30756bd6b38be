//! Small disks of their own, for tests of what a program does when one fills up or fails.
//!
//! Making one takes the right to mount, which root has in continuous integration; a test that cannot
//! have its disk says so and is skipped.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// A file system of its own, taken away when this is dropped.
pub struct Disk {
    folder: TempDir,
}

impl Disk {
    /// A file system in memory of so many mebibytes.
    ///
    /// # Panics
    /// If there is no temporary folder.
    #[must_use]
    pub fn in_memory(mebibytes: u32) -> Option<Self> {
        let disk = Self::prepared();
        let options = format!("size={mebibytes}m");
        let place = disk.path();
        disk.if_done(&[&["mount", "-t", "tmpfs", "-o", &options, "tmpfs", &told(&place)]])
    }

    /// A file system of 16 MiB that turns read-only at its first fault, as those of servers do.
    ///
    /// # Panics
    /// If there is no temporary folder.
    #[must_use]
    pub fn that_can_fail() -> Option<Self> {
        let disk = Self::prepared();
        let (image, place) = (told(&disk.image()), told(&disk.path()));
        disk.if_done(&[
            &["truncate", "-s", "16M", &image],
            &["mkfs.ext4", "-q", &image],
            &["mount", "-o", MOUNTED, &image, &place],
        ])
    }

    fn prepared() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let disk = Self { folder };
        std::fs::create_dir(disk.path()).expect("a folder");
        disk
    }

    /// This disk, if every command goes well.
    fn if_done(self, commands: &[&[&str]]) -> Option<Self> {
        let failed = commands.iter().find(|command| !goes_well(command));
        if let Some(command) = failed {
            println!("skipped: no disk can be made here: `{}` is refused", command.join(" "));
        }
        failed.is_none().then_some(self)
    }

    /// Where it is mounted.
    #[must_use]
    pub fn path(&self) -> PathBuf {
        self.folder.path().join("disk")
    }

    fn image(&self) -> PathBuf {
        self.folder.path().join("image")
    }

    fn ballast(&self) -> PathBuf {
        self.path().join("ballast")
    }

    /// Leaves no room on it.
    ///
    /// # Panics
    /// If nothing can be written at all.
    pub fn fill(&self) {
        let mut ballast = File::create(self.ballast()).expect("there is some room left");
        while ballast.write_all(&[0x5a; 4096]).is_ok() {}
    }

    /// Takes away what fills it.
    ///
    /// # Panics
    /// If it was not filled.
    pub fn make_room(&self) {
        std::fs::remove_file(self.ballast()).expect("it was filled");
    }

    /// Makes it read-only (`ro`) or writable (`rw`) while no file on it is open.
    ///
    /// # Panics
    /// If that is refused.
    pub fn remount(&self, how: &str) {
        let options = format!("remount,{how}");
        assert!(goes_well(&["mount", "-o", &options, &told(&self.path())]), "{options}");
    }

    /// Tells the file system that its disk is faulty: it turns read-only under the files that are open.
    ///
    /// # Panics
    /// If the system does not take it.
    pub fn fail(&self) {
        let found = Command::new("findmnt").args(["-no", "SOURCE"]).arg(self.path()).output();
        let source = String::from_utf8(found.expect("findmnt(8) is there").stdout).expect("a device");
        let device = source.trim().trim_start_matches("/dev/");
        // See Documentation/ABI/testing/sysfs-fs-ext4 of Linux.
        std::fs::write(format!("/sys/fs/ext4/{device}/trigger_fs_error"), "1").expect("it takes a fault");
    }

    /// Repairs it after a fault and mounts it again, while no file on it is open.
    ///
    /// # Panics
    /// If that is refused.
    pub fn repair(&self) {
        let (image, place) = (told(&self.image()), told(&self.path()));
        assert!(goes_well(&["umount", &place]), "something on it is still open");
        // It ends with 1 where it has mended something (e2fsck(8)).
        goes_well(&["e2fsck", "-fy", &image]);
        assert!(goes_well(&["mount", "-o", MOUNTED, &image, &place]));
    }
}

const MOUNTED: &str = "loop,errors=remount-ro";

impl Drop for Disk {
    fn drop(&mut self) {
        goes_well(&["umount", "-l", &told(&self.path())]);
    }
}

fn told(path: &Path) -> String {
    path.display().to_string()
}

fn goes_well(command: &[&str]) -> bool {
    let (program, arguments) = command.split_first().expect("a program");
    Command::new(program).args(arguments).output().is_ok_and(|output| output.status.success())
}
