/* port_json.h, with port_csv.h: one entry from and to a line. Private to src/store. */
#ifndef ULLAGE_STORE_PORT_JSON_H
#define ULLAGE_STORE_PORT_JSON_H

#include "model/event.h"
#include "store/json.h"

/* Makes *e of one line. An absent id stays nil. Sentences begin with "field NAME: " where they can.
 */
bool json_entry(JsonReader *reader, Text line, Moment now, Event *e, Fault *fault);

#endif
