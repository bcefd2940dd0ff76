/*! How much memory the system lets the program have. */

use std::fs::read_to_string;
use std::path::{Path, PathBuf};

/// Bytes that this process may take: of the machine's memory, of its limits (`ulimit -v`, `-d`)
/// and of those of the containers around it the least; `None` where nothing tells.
pub(super) fn allowed() -> Option<u64> {
    let text = |path: &str| read_to_string(path).unwrap_or_default();
    let around = containers(&text("/proc/self/cgroup"));
    let around = around
        .iter()
        .filter_map(|file| read_to_string(file).ok()?.trim().parse().ok());
    machine(&text("/proc/meminfo"))
        .into_iter()
        .chain(limits(&text("/proc/self/limits")))
        .chain(around)
        .min()
}

/// The machine's, from the text of `/proc/meminfo`.
fn machine(text: &str) -> Option<u64> {
    let line = text
        .lines()
        .find_map(|line| line.strip_prefix("MemTotal:"))?;
    let kibibytes: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    kibibytes.checked_mul(1024)
}

/// The limits of a process, from the text of `/proc/self/limits`; none that is "unlimited".
fn limits(text: &str) -> Vec<u64> {
    let soft = |name: &str| {
        let line = text.lines().find_map(|line| line.strip_prefix(name))?;
        line.split_whitespace().next()?.parse().ok()
    };
    let names = ["Max address space", "Max data size"];
    names.into_iter().filter_map(soft).collect()
}

/// The files in which limits of the containers of a process may stand, from the text of
/// `/proc/self/cgroup`: of its own and of every one around it, in both versions of control groups.
fn containers(text: &str) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for line in text.lines() {
        let mut parts = line.splitn(3, ':').skip(1);
        let (Some(kinds), Some(path)) = (parts.next(), parts.next()) else {
            continue;
        };
        let (root, name) = match kinds {
            "" => ("/sys/fs/cgroup", "memory.max"),
            kinds if kinds.split(',').any(|kind| kind == "memory") => {
                ("/sys/fs/cgroup/memory", "memory.limit_in_bytes")
            }
            _ => continue,
        };
        for own in Path::new(path).ancestors() {
            let below = own.strip_prefix("/").unwrap_or(own);
            files.push(Path::new(root).join(below).join(name));
        }
    }
    files
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_files_of_the_system_are_read() {
        let told = "MemTotal:       24000000 kB\nMemFree: 1 kB\n";
        assert_eq!(machine(told), Some(24_576_000_000));
        assert_eq!(machine("MemTotal: many kB"), None);
        let told = "Limit                     Soft Limit           Hard Limit           Units     \n\
                    Max data size             unlimited            unlimited            bytes     \n\
                    Max address space         1536000000           unlimited            bytes     \n";
        assert_eq!(limits(told), [1_536_000_000]);
    }

    #[test]
    fn limits_of_containers_are_looked_for_in_both_versions() {
        let files = containers("5:cpu,memory:/a/b\n3:cpuset:/c\n0::/d\nbroken\n");
        let expected = [
            "/sys/fs/cgroup/memory/a/b/memory.limit_in_bytes",
            "/sys/fs/cgroup/memory/a/memory.limit_in_bytes",
            "/sys/fs/cgroup/memory/memory.limit_in_bytes",
            "/sys/fs/cgroup/d/memory.max",
            "/sys/fs/cgroup/memory.max",
        ];
        assert_eq!(files, expected.map(PathBuf::from));
    }
}
