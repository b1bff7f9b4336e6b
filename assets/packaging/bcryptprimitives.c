/* For wine before 9 only, which lacks this system library: the one function that Rust's standard
   library takes from it. Stands beside the program while it is checked, and in no package. */
#include <windows.h>
#include <ntsecapi.h>

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE data, SIZE_T size) {
    return RtlGenRandom(data, (ULONG)size);
}
