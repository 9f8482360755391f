# Residuals of two fits of the example opened_filter. Run from the project's root:
#   gnuplot docs/images/element_residuals.gp
set terminal svg size 760,400 font "sans-serif,13" background "white"
set output "docs/images/element_residuals.svg"
data = "examples/expected/opened_filter.txt"
set xlabel "volume flow, L/s"
set ylabel "standardised residual"
set xrange [180:1020]
set yrange [-6:10]
set grid lc rgb "#dddddd"
set key top center reverse Left samplen 2
set object rectangle from graph 0, first -2 to graph 1, first 2 fc rgb "#eeeeee" fs noborder behind
set arrow from 180,0 to 1020,0 nohead lc rgb "#777777"
set label "19 of 20 sound readings lie in the grey band" at 1005,-5.2 right tc rgb "#444444"
plot data index 0 using 1:4 with points lc rgb "#0072B2" pt 7 ps 0.9 title "manometer set to zero (invented readings)", \
     data index 1 using 1:4 with linespoints lc rgb "#D55E00" lw 1 dt 3 pt 9 ps 1 title "the same with 8 Pa left on it: a bend"
