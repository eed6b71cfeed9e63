use spanwright::plan::PlanFile;
use spanwright::rig::*;
use spanwright::mechanics::certificate::certify;
fn main() {
    for p in std::env::args().skip(1) {
        let f = match PlanFile::open(p.as_ref()) { Ok(f)=>f, Err(e)=>{ println!("{}", e.show(&p)); continue } };
        println!("{p}: {}", f.show_faults());
        let rig = match Rig::build(&f.plan,&f.catalogue){Ok(r)=>r,Err(e)=>{println!("{e:#?}");continue}};
        let t=std::time::Instant::now();
        let st = match rig.stand(vec![],None){Ok(r)=>r,Err(e)=>{println!("{e:#?}");continue}};
        println!("stand {:?} target {} hist {:?}", t.elapsed(), st.lengths.target_m, st.solution.history);
        for w in [None,Some(0.05),Some(0.5),Some(0.95)] {
            let load=Load{walkers:w.map(|at|Walker{at,weight_n:785.,drag_area_m2:0.7}).into_iter().collect(),..Default::default()};
            let t=std::time::Instant::now();
            let (c,s)=rig.solve(&st.lengths,&load,None);
            let el=t.elapsed();
            let t=std::time::Instant::now();
            let (_c2,_s2)=rig.solve(&st.lengths,&load,Some(&s));
            let el2=t.elapsed();
            let t=std::time::Instant::now();
            let cert=certify(&c.net,&s);
            let el3=t.elapsed();
            let r=rig.response(&c,&s);
            println!("{w:?} {el:?} warm {el2:?} cert {el3:?} {:?} iters {} residual {:.1e} faults {:?}",s.status,s.history.len(),s.residual_n(),cert.faults);
            for (n,t) in rig.run_names.iter().zip(&r.run_n){ print!("{n} {t:.0}; ");}
            println!("line {:?} sag {:.3} backup {:?}",r.line_n,r.sag_m,r.backup_n.first());
        }
    }
}
