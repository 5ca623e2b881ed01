/* SPDX-License-Identifier: MIT */
/* A process that does nothing: what starting one takes. */
int main(void) {
  return 0;
}
