# Raw and net pressures of the example bench_reduction. Run from the project's root:
#   gnuplot docs/images/stand_reduction.gp
set terminal svg size 760,440 font "sans-serif,13" background "white"
set output "docs/images/stand_reduction.svg"
data = "examples/expected/bench_reduction.txt"
set xlabel "volume flow through the filter, m^3/s"
set ylabel "pressure, Pa"
set xrange [0.28:0.78]
set yrange [0:260]
set grid lc rgb "#dddddd"
set key outside right top Left reverse samplen 2
set arrow from 0.3716,0 to 0.3716,250 nohead dt 2 lc rgb "#777777"
set arrow from 0.5574,0 to 0.5574,250 nohead dt 2 lc rgb "#777777"
set label "1.0 m/s" at 0.3716,254 center tc rgb "#444444"
set label "1.5 m/s" at 0.5574,254 center tc rgb "#444444"
array colour[4] = ["#0072B2", "#009E73", "#D55E00", "#000000"]
array name[4] = ["flat pad", "2-inch pleat, coarse", "2-inch pleat, fine", "4-inch glass pack"]
set label "filled: net of the stand" at screen 0.69, screen 0.52
set label "hollow: as displayed" at screen 0.69, screen 0.46
plot for [i=1:4] data index i-1 using 1:3 with linespoints lc rgb colour[i] lw 2 pt (2*i+3) ps 0.8 title name[i], \
     for [i=1:4] data index i-1 using 1:2 with linespoints lc rgb colour[i] lw 1 dt 3 pt (2*i+2) ps 0.8 notitle
