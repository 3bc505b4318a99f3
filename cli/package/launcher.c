// The program `tarebook` of the folder that runs on any Linux: linked without any library, it starts the real program by
// the folder's own loader and libraries, wherever the folder is.
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char folder[PATH_MAX];

static const char* in_folder(const char* name) {
    char* path = malloc(strlen(folder) + strlen(name) + 2);
    if (path) sprintf(path, "%s/%s", folder, name);
    return path;
}

int main(int argc, char** argv) {
    const ssize_t length = readlink("/proc/self/exe", folder, sizeof folder - 1);
    char* slash = length > 0 ? strrchr(folder, '/') : NULL;
    if (!slash) {
        fputs("tarebook: /proc is not mounted: the folder of the program cannot be found\n", stderr);
        return 3;
    }
    *slash = '\0';
    const char* loader = in_folder("lib/loader");
    const char** words = malloc(((size_t)argc + 12) * sizeof *words);
    if (!loader || !words) return 3;
    size_t n = 0;
    words[n++] = loader;
    words[n++] = "--inhibit-cache";
    words[n++] = "--library-path";
    words[n++] = in_folder("lib");
    // Where the machine has no time zones, those of the folder are read.
    if (access("/usr/share/zoneinfo", R_OK) != 0) {
        words[n++] = "--preload";
        words[n++] = in_folder("lib/zones.so");
    }
    words[n++] = "--argv0";
    words[n++] = argc > 0 ? argv[0] : "tarebook";
    words[n++] = in_folder("lib/program");
    for (int i = 1; i < argc; ++i) words[n++] = argv[i];
    words[n] = NULL;
    unsetenv("LD_PRELOAD");  // what is meant for the machine's own C library does not fit ours
    execv(loader, (char**)words);
    perror(loader);
    return 3;
}
