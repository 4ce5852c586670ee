/* A stand-in for bcryptprimitives.dll, from which Go's runtime takes its random
 * numbers. Debian 12's wine does not have that library; later ones do. */
__declspec(dllimport) unsigned char SystemFunction036(void *out, unsigned long length); /* RtlGenRandom */

__declspec(dllexport) int ProcessPrng(unsigned char *out, unsigned long long length) {
    while (length > 0) {
        unsigned long part = length > 65536 ? 65536 : (unsigned long)length;
        if (!SystemFunction036(out, part)) {
            return 0;
        }
        out += part;
        length -= part;
    }
    return 1;
}

int _DllMainCRTStartup(void *module, unsigned long why, void *reserved) {
    (void)module, (void)why, (void)reserved;
    return 1;
}
