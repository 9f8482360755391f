# Airflow and pressure drops over a life: the example filter_life. Run from the project's root:
#   gnuplot docs/images/filter_life.gp
set terminal svg size 720,560 font "sans-serif,13" background "white"
set output "docs/images/filter_life.svg"
data = "examples/expected/filter_life.txt"
set xrange [0:1350]
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set ylabel "airflow, m3/s"
set yrange [1.0:1.4]
set key bottom left reverse Left samplen 2
plot data index 1 using 1:2 with lines lc rgb "#0072B2" lw 2 title "fan at fixed speed (invented)", \
     data index 2 using 1:2 with lines lc rgb "#D55E00" lw 2 dt 2 title "fan that holds its airflow (invented)"
set xlabel "running hours"
set ylabel "pressure drop, Pa"
set yrange [0:260]
set key top left reverse Left samplen 2
plot data index 1 using 1:3 with lines lc rgb "#0072B2" lw 2 title "stage 1, fixed speed", \
     data index 2 using 1:3 with lines lc rgb "#D55E00" lw 2 dt 2 title "stage 1, holding airflow", \
     data index 1 using 1:4 with lines lc rgb "#56B4E9" lw 2 title "stage 2, fixed speed", \
     data index 2 using 1:4 with lines lc rgb "#E69F00" lw 2 dt 2 title "stage 2, holding airflow"
unset multiplot
