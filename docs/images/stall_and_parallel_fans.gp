# A fan that dips, alone and beside another like it: the example stall_and_parallel_fans. Run from the project's root:
#   gnuplot docs/images/stall_and_parallel_fans.gp
set terminal svg size 720,800 font "sans-serif,13" background "white"
set output "docs/images/stall_and_parallel_fans.svg"
data = "examples/expected/stall_and_parallel_fans.txt"
set grid lc rgb "#dddddd"
set ylabel "pressure, Pa"
set xlabel "airflow, m3/s"
set multiplot layout 2,1
set title "A dipping fan against a pressurised space: three crossings"
set xrange [0:2]
set yrange [200:540]
set key top left reverse Left samplen 2
plot data index 0 using 1:2 with lines lc rgb "#000000" lw 3 title "fan", \
     data index 0 using 1:3 with lines lc rgb "#0072B2" lw 2 title "system", \
     data index 1 using 1:2 with points lc rgb "#000000" pt 7 ps 0.9 title "stable", \
     data index 2 using 1:2 with points lc rgb "#D55E00" pt 6 ps 1.2 lw 2 title "not stable: the fan rises more steeply than the system"
set title "Two in parallel: every combination of falling and rising parts"
set xrange [0:4]
space(q) = 310 + 1.25 * q**2 * 1.2 / 1.204
plot data index 3 using 1:2 with lines lc rgb "#000000" lw 3 title "no fan on its rising part", \
     data index 4 using 1:2 with lines lc rgb "#009E73" lw 2 title "one on its rising part", \
     data index 5 using 1:2 with lines lc rgb "#CC79A7" lw 2 title "both on their rising parts", \
     space(x) with lines lc rgb "#0072B2" lw 2 title "system", \
     data index 6 using 1:2 with points lc rgb "#000000" pt 7 ps 0.9 title "stable", \
     data index 7 using 1:2 with points lc rgb "#D55E00" pt 6 ps 1.2 lw 2 title "not stable"
unset multiplot
