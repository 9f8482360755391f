# Efficiency by size of the example counts_to_rating. Run from the project's root:
#   gnuplot docs/images/fractional_efficiency.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/fractional_efficiency.svg"
data = "examples/expected/counts_to_rating.txt"
set logscale x
set xlabel "particle size (geometric mean of the range), um"
set ylabel "efficiency, %"
set xrange [0.3:10]
set yrange [0:112]
set xtics (0.3, 0.5, 1, 2, 3, 5, 10)
set ytics 0,20,100
set grid lc rgb "#dddddd"
set key at graph 0.98,0.03 bottom right reverse Left samplen 2 opaque
set arrow from 1,0 to 1,112 nohead back dt 2 lc rgb "#777777"
set arrow from 3,0 to 3,112 nohead back dt 2 lc rgb "#777777"
set label "E1" at 0.55,107 center tc rgb "#444444"
set label "E2" at 1.73,107 center tc rgb "#444444"
set label "E3" at 5.5,107 center tc rgb "#444444"
plot data index 0 using 1:2:3:4 with yerrorbars lc rgb "#0072B2" lw 2 pt 7 ps 0.7 title "counts, 95 % interval (invented data)", \
     data index 0 using 1:2 with lines lc rgb "#0072B2" lw 1 notitle
