/* SPDX-License-Identifier: GPL-3.0-or-later */
/* race.c - two threads that write one number on purpose.
 *
 * Must turn red under the thread sanitizer, or its silence about the library says nothing.
 */
#include <pthread.h>

static int counted;

static void *count(void *unused) {
    (void)unused;
    counted++;
    return NULL;
}

int main(void) {
    pthread_t threads[2];
    for (int i = 0; i < 2; i++)
        if (pthread_create(&threads[i], NULL, count, NULL) != 0)
            return 0;
    for (int i = 0; i < 2; i++)
        pthread_join(threads[i], NULL);
    return 0;
}
