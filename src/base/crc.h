/* crc.h - CRC-32C: a number that tells bytes that were changed by accident.
 *
 * It finds damage and slips: every change of up to 32 bits in a row, and of any 3 bits in a few
 * kilobytes. It is no proof against somebody who means it. */
#ifndef ULLAGE_BASE_CRC_H
#define ULLAGE_BASE_CRC_H

#include <stddef.h>
#include <stdint.h>

/* CRC-32C (Castagnoli; RFC 3720 section 12.1): reflected polynomial 0x82F63B78, start and final
 * xor 0xFFFFFFFF. Goes on from `start`, which is 0 or the CRC of the bytes before:
 * crc32c(crc32c(0, A), B) is that of A and B in a row. */
uint32_t crc32c(uint32_t start, const void *bytes, size_t n);
/* The same, in four times the time: for machines without an instruction for it. */
uint32_t crc32c_by_tables(uint32_t start, const void *bytes, size_t n);

#endif
