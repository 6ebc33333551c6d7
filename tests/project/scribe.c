/* Works on a project until it is killed. Says the number of each step once the project says that it
 * is done.   scribe PROJECT FIRST_STEP */
#include "made.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    tb_project *project;
    tb_error err = {0};
    if (argc != 3 || tb_project_open(&project, argv[1], true, &err)) {
        fprintf(stderr, "scribe: %s\n", err.text);
        return 1;
    }
    for (unsigned step = (unsigned)strtoul(argv[2], NULL, 10);; step++) {
        if (made_step(project, step, &err)) {
            fprintf(stderr, "scribe: step %u: %s\n", step, err.text);
            return 1;
        }
        if (write(STDOUT_FILENO, &step, sizeof step) != sizeof step)
            return 1;
    }
}
