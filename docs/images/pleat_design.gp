# Pressure drop over the number of pleats for four media: the example pleat_design. Run from the project's root:
#   gnuplot docs/images/pleat_design.gp
set terminal svg size 720,460 font "sans-serif,13" background "white"
set output "docs/images/pleat_design.svg"
data = "examples/expected/pleat_design.txt"
set datafile missing "-"
set xlabel "pleats on 590 mm"
set ylabel "pressure drop, Pa"
set xrange [20:300]
set logscale y
set yrange [30:4000]
set ytics (30, 50, 100, 200, 500, 1000, 2000)
set grid lc rgb "#dddddd"
set key top right Left samplen 2
plot data index 0 using 1:4 with lines lc rgb "#0072B2" lw 2 title "glass paper, 44 mm deep, 1.5 m/s", \
     data index 0 using 1:2 with lines lc rgb "#D55E00" lw 2 dt 2 title "coarse felt, 20 mm deep, 1.5 m/s", \
     data index 0 using 1:3 with lines lc rgb "#009E73" lw 2 dt 4 title "fine felt, 44 mm deep, 1.5 m/s", \
     data index 0 using 1:5 with lines lc rgb "#CC79A7" lw 2 dt 5 title "dense paper, 270 mm deep, 0.45 m/s", \
     data index 1 using 1:2 with points lc rgb "#000000" pt 7 ps 0.8 title "least (all media invented)"
