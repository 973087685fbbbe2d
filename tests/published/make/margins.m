% Margins of ten further loops by GNU Octave and its control package, for tests/published/octave-control.test.ts.
%
%   octave-cli --no-gui margins.m > ../data/octave-margins.json
%
% Gain and phase margin come from `margin`. Its H-infinity norm is not used for the peaks: for 1/(s (s + 1)) it gave
% Ms = 1, where the closed form is 1.4679. They are found by `fminbnd` around the best of a dense grid of `freqresp`.
% Stability is from the poles of the closed loop.
pkg load control
warning('off', 'all');

1;
function v = pick(c, a, b)
  if c, v = a; else v = b; end
end
% |1 + L| or |1 + L|/|L| at exp(x)
function y = distance(l, x, ofT)
  v = squeeze(freqresp(l, exp(x)));
  v = reshape(v, size(x));
  y = abs(1 + v);
  if ofT, y = y ./ abs(v); end
end
function [peak, at] = peakof(l, lo, hi, ofT)
  x = linspace(log(lo), log(hi), 20001);
  y = distance(l, x, ofT);
  [best, i] = min(y);
  if i == 1 || i == numel(x)
    peak = 1/best; at = exp(x(i));
    return
  end
  [xm, ym] = fminbnd(@(u) distance(l, u, ofT), x(i-1), x(i+1), optimset('TolX', 1e-12));
  peak = 1/ym; at = exp(xm);
end
function t = num(v)
  if isempty(v) || ! isfinite(v), t = 'null'; else t = sprintf('%.15g', v); end
end
function t = list(v)
  t = ['[' strjoin(arrayfun(@(x) sprintf('%.17g', x), v(:)', 'UniformOutput', false), ', ') ']'];
end

loops = {};
% name, numerator, denominator, period (0: continuous)
loops{end+1} = {'conditionally stable: 10 (s + 2)^2/s^3', 10*conv([1 2],[1 2]), [1 0 0 0], 0};
loops{end+1} = {'unstable engine: 3/((s - 1)(0.1 s + 1))', 3, conv([1 -1],[0.1 1]), 0};
loops{end+1} = {'lightly damped: 0.08/(s (s^2 + 0.1 s + 1))', 0.08, [1 0.1 1 0], 0};
loops{end+1} = {'zero on the right: 0.4 (1 - s)/(s (s + 1))', 0.4*[-1 1], [1 1 0], 0};
loops{end+1} = {'double integrator: (2 s + 1) 0.5/(s^2 (0.1 s + 1))', 0.5*[2 1], [0.1 1 0 0], 0};
[pn, pd] = padecoef(0.3, 3);
loops{end+1} = {'PI on a lag with a Pade delay of order 3', conv(2*[1 1.5], pn), conv(conv([1 0],[0.5 1]), pd), 0};
loops{end+1} = {'biproper lead: 4 (s + 1)/(s + 10) on 20/(s (s + 2))', 80*[1 1], conv([1 10],[1 2 0]), 0};
loops{end+1} = {'sampled PI, three periods late', [0.25 -0.2], conv([1 -1], [1 -0.8 0 0 0]), 0.02};
loops{end+1} = {'sampled, lightly damped', 0.05*[1 0.95], [1 -1.8 0.95], 0.1};
loops{end+1} = {'sampled, unstable engine', 0.4*[1 0.3], conv([1 -1.1], [1 -0.2]), 0.05};

printf('[\n');
for i = 1:numel(loops)
  [name, n, d, h] = loops{i}{:};
  if h == 0, l = tf(n, d); hi = 1e4; else l = tf(n, d, h); hi = pi/h; end
  [gm, pm, wpc, wgc] = margin(l);
  [ms, wms] = peakof(l, 1e-4, hi, false);
  [mt, wmt] = peakof(l, 1e-4, hi, true);
  p = pole(feedback(l, 1));
  if h == 0, unstable = sum(real(p) > 1e-9); open = sum(real(pole(l)) > 1e-9);
  else unstable = sum(abs(p) > 1 + 1e-9); open = sum(abs(pole(l)) > 1 + 1e-9); end
  printf(' {"name": "%s", "numerator": %s, "denominator": %s, "periodS": %s,\n', name, list(n), list(d), num(pick(h == 0, Inf, h)));
  printf('  "openUnstable": %d, "closedUnstable": %d, "gainMargin": %s, "gainMarginAt": %s,\n', open, unstable, num(gm), num(wpc));
  printf('  "phaseMarginDeg": %s, "crossover": %s, "ms": %s, "msAt": %s, "mt": %s, "mtAt": %s}%s\n', num(pm), num(wgc), num(ms), num(wms), num(mt), num(wmt), pick(i < numel(loops), ',', ''));
end
printf(']\n');
