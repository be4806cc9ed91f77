#include <gsl/gsl_errno.h>
#include "solve.h"
void calibration_quiet_gsl(void) {
    gsl_set_error_handler_off();
}
