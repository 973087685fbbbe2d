/**
 * Direction numbers of Sobol' sequences, dimensions 2 to 40: S. Joe and F. Y. Kuo, Constructing Sobol sequences with better
 * two-dimensional projections, SIAM Journal on Scientific Computing 30 (2008) 2635–2654, file new-joe-kuo-6.21201.
 *
 * Copyright (c) 2008, Frances Y. Kuo and Stephen Joe. All rights reserved.
 *
 * Redistribution and use in source and binary forms, with or without modification, are permitted provided that the following
 * conditions are met: redistributions of source code must retain the above copyright notice, this list of conditions and the
 * following disclaimer; redistributions in binary form must reproduce the above copyright notice, this list of conditions
 * and the following disclaimer in the documentation and/or other materials provided with the distribution; neither the names
 * of the copyright holders nor the names of the University of New South Wales and the University of Waikato and its
 * contributors may be used to endorse or promote products derived from this software without specific prior written
 * permission.
 *
 * This software is provided by the copyright holders "as is" and any express or implied warranties, including, but not
 * limited to, the implied warranties of merchantability and fitness for a particular purpose are disclaimed. In no event
 * shall the copyright holders be liable for any direct, indirect, incidental, special, exemplary, or consequential damages
 * (including, but not limited to, procurement of substitute goods or services; loss of use, data, or profits; or business
 * interruption) however caused and on any theory of liability, whether in contract, strict liability, or tort (including
 * negligence or otherwise) arising in any way out of the use of this software, even if advised of the possibility of such
 * damage.
 */

/** A dimension: inner coefficients of its primitive polynomial as bits, and its first direction numbers, one a degree. */
export interface Direction {
  readonly polynomial: number;
  readonly first: readonly number[];
}

/** Dimension 2 first; dimension 1 is the van der Corput sequence and needs none. */
export const DIRECTIONS: readonly Direction[] = [
  { polynomial: 0, first: [1] },
  { polynomial: 1, first: [1, 3] },
  { polynomial: 1, first: [1, 3, 1] },
  { polynomial: 2, first: [1, 1, 1] },
  { polynomial: 1, first: [1, 1, 3, 3] },
  { polynomial: 4, first: [1, 3, 5, 13] },
  { polynomial: 2, first: [1, 1, 5, 5, 17] },
  { polynomial: 4, first: [1, 1, 5, 5, 5] },
  { polynomial: 7, first: [1, 1, 7, 11, 19] },
  { polynomial: 11, first: [1, 1, 5, 1, 1] },
  { polynomial: 13, first: [1, 1, 1, 3, 11] },
  { polynomial: 14, first: [1, 3, 5, 5, 31] },
  { polynomial: 1, first: [1, 3, 3, 9, 7, 49] },
  { polynomial: 13, first: [1, 1, 1, 15, 21, 21] },
  { polynomial: 16, first: [1, 3, 1, 13, 27, 49] },
  { polynomial: 19, first: [1, 1, 1, 15, 7, 5] },
  { polynomial: 22, first: [1, 3, 1, 15, 13, 25] },
  { polynomial: 25, first: [1, 1, 5, 5, 19, 61] },
  { polynomial: 1, first: [1, 3, 7, 11, 23, 15, 103] },
  { polynomial: 4, first: [1, 3, 7, 13, 13, 15, 69] },
  { polynomial: 7, first: [1, 1, 3, 13, 7, 35, 63] },
  { polynomial: 8, first: [1, 3, 5, 9, 1, 25, 53] },
  { polynomial: 14, first: [1, 3, 1, 13, 9, 35, 107] },
  { polynomial: 19, first: [1, 3, 1, 5, 27, 61, 31] },
  { polynomial: 21, first: [1, 1, 5, 11, 19, 41, 61] },
  { polynomial: 28, first: [1, 3, 5, 3, 3, 13, 69] },
  { polynomial: 31, first: [1, 1, 7, 13, 1, 19, 1] },
  { polynomial: 32, first: [1, 3, 7, 5, 13, 19, 59] },
  { polynomial: 37, first: [1, 1, 3, 9, 25, 29, 41] },
  { polynomial: 41, first: [1, 3, 5, 13, 23, 1, 55] },
  { polynomial: 42, first: [1, 3, 7, 3, 13, 59, 17] },
  { polynomial: 50, first: [1, 3, 1, 3, 5, 53, 69] },
  { polynomial: 55, first: [1, 1, 5, 5, 23, 33, 13] },
  { polynomial: 56, first: [1, 1, 7, 7, 1, 61, 123] },
  { polynomial: 59, first: [1, 1, 7, 9, 13, 61, 49] },
  { polynomial: 62, first: [1, 3, 3, 5, 3, 55, 33] },
  { polynomial: 14, first: [1, 3, 1, 15, 31, 13, 49, 245] },
  { polynomial: 21, first: [1, 3, 5, 15, 31, 59, 63, 97] },
  { polynomial: 22, first: [1, 3, 1, 11, 11, 11, 77, 249] },
];
