/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Being told when a file changes.  Only Linux tells (inotify(7)), and not of every file
 * system: whoever waits should look after a while in any case.
 */
#ifndef BASE_FILE_WATCH_H
#define BASE_FILE_WATCH_H

/*
 * A descriptor that becomes readable when the file at path is written to, cut, moved,
 * or another is put in its place; -1 where nothing tells.  To be closed with close().
 */
int file_watch_open(const char *path);

/* Takes what was told, so that the descriptor waits again. */
void file_watch_clear(int fd);

#endif
