//! The sidecar file that holds every edit: append, flush, lock, recover, hash chain, manifest.
